"""The pages of the calculators of oil and coolant; importing them makes them known."""

from advisory.common.bench import register
from advisory.lubrication.bench import (
    coolant,
    dirt_balance,
    feed_pipe,
    journal_bearing,
    oil_change,
    thrust_washer,
    viscosity,
)

for _module in (
    journal_bearing,
    thrust_washer,
    feed_pipe,
    viscosity,
    oil_change,
    dirt_balance,
    coolant,
):
    register(_module.PAGE)
