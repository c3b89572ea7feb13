"""The units that a display file may be written in, as pint reads definitions: few, so that the tool starts quickly."""

from __future__ import annotations

# Those that measure nothing here are known too, so that "4 kg" for a length is told to be no length.
DEFINITIONS = """\
nano- = 1e-9 = n-
micro- = 1e-6 = u- = µ- = μ-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
deci- = 1e-1 = d-
deca- = 1e+1 = da- = deka-
hecto- = 1e2 = h-
kilo- = 1e3 = k-
mega- = 1e6 = M-
giga- = 1e9 = G-
pico- = 1e-12 = p-

meter = [length] = m = metre
second = [time] = s = sec
ampere = [current] = A = amp
candela = [luminosity] = cd = candle
gram = [mass] = g
kelvin = [temperature]; offset: 0 = K = degK
radian = [] = rad
steradian = radian ** 2 = sr

degree = 3.141592653589793 / 180 * radian = deg
revolution = 2 * 3.141592653589793 * radian = _ = turn = circle

angstrom = 1e-10 * meter = _
micron = micrometer = _
inch = 0.0254 * meter = in = inches
thou = 1e-3 * inch = th = mil_length
foot = 12 * inch = ft = feet
yard = 3 * foot = yd
mile = 5280 * foot = mi
nautical_mile = 1852 * meter = nmi
survey_foot = 1200 / 3937 * meter = sft
furlong = 660 * survey_foot = fur
light_year = 9460730472580800 * meter = ly
parsec = 3.0856775814671914e16 * meter = pc

hectare = 1e4 * meter ** 2 = ha
acre = 43560 * survey_foot ** 2 = _
liter = 1e-3 * meter ** 3 = l = L = litre
gallon = 231 * inch ** 3 = gal

minute = 60 * second = min
hour = 60 * minute = h = hr
day = 24 * hour = d
week = 7 * day = _
year = 365.25 * day = a = yr

tonne = 1e3 * kilogram = t = metric_ton
pound = 0.45359237 * kilogram = lb
ounce = pound / 16 = oz
grain = pound / 7000 = gr
stone = 14 * pound = _
carat = 0.2 * gram = _

degree_Celsius = kelvin; offset: 273.15 = °C = celsius = degC = degreeC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 255.3722222222222 = °F = fahrenheit = degF = degreeF
degree_Rankine = 5 / 9 * kelvin; offset: 0 = °R = rankine = degR = degreeR

hertz = 1 / second = Hz
revolutions_per_minute = revolution / minute = rpm
knot = nautical_mile / hour = kt

newton = kilogram * meter / second ** 2 = N
force_pound = pound * 9.80665 * meter / second ** 2 = lbf = pound_force
pascal = newton / meter ** 2 = Pa
bar = 1e5 * pascal = _
psi = force_pound / inch ** 2 = _
joule = newton * meter = J
calorie = 4.184 * joule = cal
watt = joule / second = W
watt_hour = watt * hour = Wh
horsepower = 550 * foot * force_pound / second = hp

coulomb = ampere * second = C
ampere_hour = ampere * hour = Ah
volt = joule / coulomb = V
volt_ampere = volt * ampere = VA
ohm = volt / ampere = Ω
siemens = ampere / volt = S = mho
farad = coulomb / volt = F
weber = volt * second = Wb
henry = weber / ampere = H
tesla = weber / meter ** 2 = T

lumen = candela * steradian = lm
lux = lumen / meter ** 2 = lx
nit = candela / meter ** 2 = _
"""

# By definition (SI brochure, 9th edition; international yard and pound of 1959). Those that are written most often need
# no pint, which takes longer to load than a display to plan.
EXACT = {
    ("mm", "m"): 1e-3,
    ("cm", "m"): 1e-2,
    ("m", "m"): 1.0,
    ("in", "m"): 0.0254,
    ("ft", "m"): 0.3048,
    ("yd", "m"): 0.9144,
    ("mV", "V"): 1e-3,
    ("V", "V"): 1.0,
    ("uA", "A"): 1e-6,
    ("mA", "A"): 1e-3,
    ("A", "A"): 1.0,
    ("mW", "W"): 1e-3,
    ("W", "W"): 1.0,
    ("mohm", "ohm"): 1e-3,
    ("ohm", "ohm"): 1.0,
    ("Hz", "Hz"): 1.0,
    ("kHz", "Hz"): 1e3,
    ("us", "s"): 1e-6,
    ("ms", "s"): 1e-3,
    ("s", "s"): 1.0,
    ("min", "s"): 60.0,
    ("h", "s"): 3600.0,
    ("g", "kg"): 1e-3,
    ("kg", "kg"): 1.0,
    ("oz", "kg"): 0.45359237 / 16,
    ("lb", "kg"): 0.45359237,
    ("degC", "degC"): 1.0,
    ("deg", "degree"): 1.0,
    ("lm", "lumen"): 1.0,
}
