"""Which buildable coils are worth choosing: the space, its limits, the front, the ranking, the ways out.

`evaluate` is the only place where physics and build meet.
"""
