"""The coil for other machines, in millimetres: drawings for laser and plotter (DXF, SVG), solids (STL)."""
