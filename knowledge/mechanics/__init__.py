"""The table, the cue and the body in numbers: closed-form physics with its sources.

Inside, lengths are metres, speeds metres a second, angles radians; a name that ends in ``_deg`` or ``_mm``
says otherwise. A place on the table is a complex number x + iy: x across (0 at the left cushion seen from
baulk, 1.778 at the right), y along (0 at the baulk cushion, 3.569 at the top). Pictures and layouts use the
same frame in millimetres.

What the whole model leaves out: cloth nap and slope, balls of unequal size or weight, jaws of pockets (a
pocket is an opening of a width the user states), balls leaving the bed, and the small effect of side on
rolling. Friction figures are measured on pool equipment unless said otherwise. Trust directions and orders of
size; measure your own table before you trust a number (``mechanics.motion.rolling_resistance_from_time``).
"""
