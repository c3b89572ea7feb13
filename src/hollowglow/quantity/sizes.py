"""How large the units are that are no SI units: exact by the international yard and pound agreement of 1959."""

INCH_M = 0.0254
INCH_MM = 25.4
FOOT_IN = 12
FOOT_M = 0.3048
POUND_KG = 0.45359237
OUNCE_KG = POUND_KG / 16.0
