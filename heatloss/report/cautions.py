"""What every report says, whatever the figures: short, and never left out."""

from __future__ import annotations

CAUTIONS: tuple[str, ...] = (
    "This is an estimate of fuel and heat, not a design. Local codes, the insurer, the maker's manual and a licensed "
    "installer decide what is built.",
    "Every fire gives off carbon monoxide, and some gases that harm plants. Give it a flue to the outdoors and its own "
    "air, burn nothing without a vent, and hang a carbon monoxide alarm where you work.",
    "Stored pellets give off carbon monoxide too. Air a closed bin or pellet room before anyone enters, and never "
    "enter one alone.",
    "Film, bubble lining and foam burn. Keep the clearances the heater's and the flue's makers ask for, to every side "
    "and above.",
    "Wire for a wet place: covered outlets with ground-fault protection, heaters and fans made for it.",
    "Have a second source of heat, and an alarm for cold, that both work when the power is out; a pellet heater "
    "without power is cold.",
    "Fish need air from a battery within the hour when the pumps stop.",
    "Protect pipes, pumps and tanks against freezing, the fuel line too.",
    "Snow: a curtain or lining that saves heat keeps the roof cold, and the load lies longer. Clear it, or open the "
    "curtain before a storm.",
    "Let a little air through on mild winter days: a tight, wet house grows mold and starves its plants of carbon "
    "dioxide.",
)

SIZING_CAUTION = (
    "A heater is sized on the coldest night it must hold, with a margin, and not on the highest hour of a typical "
    "year. A pellet, wood or gas unit rated by its input gives less into the house than its label says, and one at "
    "altitude less again."
)
