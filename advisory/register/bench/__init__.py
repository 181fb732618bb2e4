"""The pages of the calculators of limits and fits; importing them makes them known."""

from advisory.common.bench import register
from advisory.register.bench import press_fit, tolerance

for _module in (tolerance, press_fit):
    register(_module.PAGE)
