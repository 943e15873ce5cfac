"""Published formulas, one function each: film coefficients, friction, losses. SI arrays in, arrays out."""
