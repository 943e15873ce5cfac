"""How a coil cools a batch: flow, heat along the tube, and the whole plan down to the target.

Knows no design and no file. Symbols are the field's (see the glossary in DEVELOPERS.md): Darcy f always,
D_c centre to centre, Ra on d_o.
"""
