"""One box for everything the counter is asked for: numbers, suppliers' numbers, engine families, words.

index.py        which texts are indexed, and the triggers that keep the index right on either database
install.py      puts the index in place after every migrate and fills it
numbers.py      parts by number: as asked, by its beginning, by a supplier's own number, one slip away
described.py    parts, part types and engine families by words
find.py         all of it for one line as typed, ranked, each hit with its reason
"""
