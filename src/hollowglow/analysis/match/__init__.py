"""Make unlike kinds look alike: levels and trims that bring each kind to one brightness and one white.

made = solve(build, optics.analyse(build), Target(by="view", share=0.4))
made.rows[0].level, made.rows[0].settings
"""

from hollowglow.analysis.match.grid import SettingGrid, fade, steps_left
from hollowglow.analysis.match.judge import UNEQUAL, judge, level_words, trim_words
from hollowglow.analysis.match.light import Row, Setting
from hollowglow.analysis.match.readings import MeasuredBrightness
from hollowglow.analysis.match.solve import Match, SupplyDraw, at_file, solve
from hollowglow.analysis.match.targets import BYS, By, Target

__all__ = [
    "BYS",
    "UNEQUAL",
    "By",
    "Match",
    "MeasuredBrightness",
    "Row",
    "Setting",
    "SettingGrid",
    "SupplyDraw",
    "Target",
    "at_file",
    "fade",
    "judge",
    "level_words",
    "solve",
    "steps_left",
    "trim_words",
]
