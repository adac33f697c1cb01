"""Where to buy: exactly the cheapest plan, the one with the fewest suppliers, and the soonest one.

`asked` has the words, `program` and `solver` the mixed-integer program, `plans` the plans and their ties,
`within` what the shop's wishes leave to choose from, `passed_over` why cheaper offers were not taken.
"""
