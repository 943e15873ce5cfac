"""Heat transfer and hydraulics of an immersion chiller: SI arrays in, SI arrays out.

Knows no design and no file but the water table's own cache. Symbols are the field's (see the
glossary in DEVELOPERS.md): Darcy f always, D_c centre to centre, Ra on d_o.
"""
