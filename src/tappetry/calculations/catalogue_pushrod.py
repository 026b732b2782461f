"""Calculations of pushrods, lifter preload and the contact between lifter and lobe."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import CHAIN, GEOMETRY, LEVER, practice, textbook
from tappetry.engineering import columns, contact, crowned_contact, lobe_contact, pushrod, pushrod_stock

CHAPTER = "Pushrod and lifter"
MEASURE = "A prediction: the length that is ordered is measured, in the maker's convention."
HERTZ = textbook("Johnson, Contact Mechanics, chapters 3 and 4")
COLUMN = textbook("Shigley's Mechanical Engineering Design, chapter 4")

CALCULATIONS = (
    calculation(
        pushrod.pushrod_length,
        title="Pushrod length after changes",
        chapter=CHAPTER,
        formula="reference + base circle/2 + gasket - skim + pedestal (1 + 1/i) - tip/i - cup + preload",
        sources=(CHAIN, LEVER),
        cautions=(MEASURE,),
    ),
    calculation(
        pushrod.preload,
        title="Preload of a pushrod",
        chapter=CHAPTER,
        formula="wanted preload + rod length - required length",
        sources=(CHAIN,),
        cautions=("The lifter maker's window wins. An alloy block takes preload away as it warms.",),
    ),
    calculation(
        pushrod.preload_from_turns,
        title="Preload from turns to torque",
        chapter=CHAPTER,
        outputs=("preload",),
        formula="turns x pitch x (1 + 1/ratio)",
        sources=(LEVER,),
        cautions=(
            "Turns are not thou: the cup goes down by more than the thread alone advances.",
            "Zero lash is when the rod stops moving up and down, not when it spins hard.",
        ),
    ),
    calculation(
        pushrod.pushrod_buckling_load,
        title="Buckling load of a slender pushrod",
        chapter=CHAPTER,
        outputs=("buckling_load",),
        formula="pi^2 E I / l^2",
        sources=(COLUMN, practice("2.5 times the load at least")),
        cautions=("A stocky rod yields first.",),
    ),
    calculation(
        pushrod.pushrod_column_load,
        title="Buckling or yield load of a pushrod",
        chapter=CHAPTER,
        outputs=("buckling_load",),
        formula="Euler where l/k >= sqrt(2 pi^2 E / Sy), Johnson's parabola below",
        sources=(COLUMN,),
    ),
    calculation(
        pushrod.pushrod_load,
        title="Load of a pushrod",
        chapter=CHAPTER,
        formula="ratio x (force at the valve + cylinder pressure x valve head area)",
        sources=(LEVER,),
    ),
    calculation(
        pushrod.pushrod_compression,
        title="Shortening of a pushrod",
        chapter=CHAPTER,
        formula="load x length / (area x E)",
        sources=(Source("Hooke's law", "textbook"),),
    ),
    calculation(
        contact.contact_modulus,
        title="Contact modulus",
        chapter=CHAPTER,
        formula="E / (2 (1 - nu^2))",
        sources=(textbook("Johnson, Contact Mechanics, chapter 4"),),
    ),
    calculation(
        contact.line_contact,
        title="Pressure of a lifter on its lobe",
        chapter=CHAPTER,
        formula="sqrt(F/w x E* / (pi R)), 1/R = 1/nose radius + 1/follower radius",
        sources=(
            textbook("Shigley's Mechanical Engineering Design, eqs. 3-73 and 3-74"),
            practice("1,400 MPa hardened cast iron, 1,700 MPa hardened steel"),
        ),
        cautions=("The radius of curvature at the nose, never the envelope.",),
    ),
    calculation(
        columns.column_loads,
        title="Slenderness and load of a column: Euler, Johnson and the one that holds",
        chapter=CHAPTER,
        formula="pi^2 C E A/(l/k)^2; A (Sy - (Sy l/(2 pi k))^2/(C E)); from sqrt(2 pi^2 C E/Sy) on Euler's",
        sources=(COLUMN,),
        cautions=("Straight and loaded in the middle; a bent rod carries less.",),
    ),
    calculation(
        columns.column_diameter,
        title="Diameter of a solid column for a load",
        chapter=CHAPTER,
        formula="(64 P l^2/(pi^3 C E))^(1/4) by Euler; 2 sqrt(P/(pi Sy) + Sy l^2/(pi^2 C E)) by Johnson",
        sources=(COLUMN,),
        cautions=("The load with its safety factor.",),
    ),
    calculation(
        columns.transition_slenderness,
        title="Slenderness at which Euler takes over from Johnson",
        chapter=CHAPTER,
        formula="sqrt(2 pi^2 C E / Sy)",
        sources=(COLUMN,),
    ),
    calculation(
        contact.pair_modulus,
        title="Contact modulus of two materials",
        chapter=CHAPTER,
        outputs=("contact_modulus",),
        formula="1 / ((1 - nu1^2)/E1 + (1 - nu2^2)/E2)",
        sources=(HERTZ,),
    ),
    calculation(
        contact.cylinder_contact,
        title="Contact of two cylinders, or of a cylinder and a flat or groove",
        chapter=CHAPTER,
        formula="b = sqrt(4 F R/(pi w E*)), p = 2F/(pi b w), 1/R = 2/d1 + 2/d2",
        sources=(textbook("Shigley's Mechanical Engineering Design, eqs. 3-73 and 3-74"),),
        cautions=("A flat has an infinite diameter, a groove a negative one.",),
    ),
    calculation(
        contact.sphere_contact,
        title="Contact of two balls, or of a ball and a flat or cup",
        chapter=CHAPTER,
        formula="a = (3 F R/(4 E*))^(1/3), p = 3F/(2 pi a^2), 1/R = 2/d1 + 2/d2",
        sources=(textbook("Shigley's Mechanical Engineering Design, eqs. 3-68 and 3-69"),),
        cautions=("A flat has an infinite diameter, a cup a negative one.",),
    ),
    calculation(
        contact.line_contact_shear,
        title="Largest shear below a line contact, and its depth",
        chapter=CHAPTER,
        formula="0.300 p in a depth of 0.786 b",
        sources=(HERTZ,),
    ),
    calculation(
        contact.point_contact_shear,
        title="Largest shear below a point contact, and its depth",
        chapter=CHAPTER,
        formula="greatest of p/2 (1.5/(1 + z^2) - (1 + nu)(1 - z atan(1/z))) along the depth z a",
        sources=(HERTZ,),
    ),
    calculation(
        crowned_contact.crowned_contact,
        title="Pressure of a crowned tappet or roller on its lobe",
        chapter=CHAPTER,
        formula="ellipse of contact: B/A = ((a/b)^2 E - K)/(K - E), p = 3F/(2 pi a b)",
        sources=(HERTZ,),
        cautions=(
            "Where the ellipse is longer than the face is wide, its edges carry more: see line-contact.",
            "The crown's radius for a flat tappet, as follower radius as well.",
        ),
    ),
    calculation(
        pushrod_stock.choose_pushrod,
        title="Pushrod in stock for a preload window",
        chapter=CHAPTER,
        formula="length - zero-lash length, in the window, nearest to the wanted preload",
        sources=(CHAIN,),
        cautions=(
            MEASURE,
            "Where something is missing to the window, no length in stock fits: order another.",
            "Turn the engine by hand, plugs out, hands clear of rockers and chain.",
        ),
    ),
    calculation(
        lobe_contact.roller_contact_along,
        title="Roller on its lobe at any angle: load, curvature, pressure",
        chapter=CHAPTER,
        formula="F = i (seat + rate i y + m i y'' w^2)/cos(pressure angle); sqrt(F/w E*/pi (1/rho + 1/R))",
        sources=(HERTZ, GEOMETRY, practice("1,400 MPa hardened cast iron, 1,700 MPa hardened steel")),
        cautions=("A rigid train. The largest pressure is at the nose at idle, on the flank when fast.",),
    ),
    calculation(
        lobe_contact.pad_contact_along,
        title="Flat tappet's wear pad on its lobe at any angle: load, curvature, pressure, rim",
        chapter=CHAPTER,
        formula="rho = base circle/2 + y + y''; off axis y' by cam angle; rim: pad/2 - sqrt(y'^2 + (w/2)^2)",
        sources=(HERTZ, GEOMETRY),
        cautions=("The train is taken as rigid. A crowned tappet bears on a spot: see the crowned contact.",),
    ),
)
