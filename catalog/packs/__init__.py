"""Data packs: a folder with a datapackage.json and one CSV per table, as a spreadsheet writes them."""
