"""Calculations of compression: volumes, ratios, cranking pressure, quench."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import CHAIN, DEFINITION, GEOMETRY, practice, textbook
from tappetry.engineering import compression

CHAPTER = "Compression"
CRANKING = "Cranking: ignition and injection off, hands, hair and sleeves clear of belts and fan."

CALCULATIONS = (
    calculation(
        compression.gasket_volume,
        title="Head gasket volume",
        chapter=CHAPTER,
        formula="pi/4 x gasket bore^2 x compressed thickness",
        sources=(GEOMETRY,),
        cautions=("Compressed thickness, not free; the maker's volume wins where the ring is not round.",),
    ),
    calculation(
        compression.clearance_volume,
        title="Clearance volume",
        chapter=CHAPTER,
        formula="chamber + gasket + pi/4 x bore^2 x deck clearance + piston + crevices",
        sources=(GEOMETRY,),
        cautions=("A dome is a negative piston volume, a proud piston a negative deck clearance.",),
    ),
    calculation(
        compression.static_compression_ratio,
        title="Static compression ratio",
        chapter=CHAPTER,
        formula="(swept + clearance) / clearance",
        sources=(DEFINITION,),
    ),
    calculation(
        compression.chamber_volume_for_ratio,
        title="Chamber volume for a compression ratio",
        chapter=CHAPTER,
        outputs=("chamber_volume",),
        formula="swept / (ratio - 1) - gasket - pi/4 x bore^2 x deck clearance - piston",
        sources=(DEFINITION,),
    ),
    calculation(
        compression.effective_stroke,
        title="Effective stroke",
        chapter=CHAPTER,
        formula="piston below TDC at 180 deg + intake closing",
        sources=(textbook("Heywood, Internal Combustion Engine Fundamentals, eq. 2.5"),),
        cautions=("Intake closing at the seat timing; compare only numbers of one checking height.",),
    ),
    calculation(
        compression.effective_compression_ratio,
        title="Effective compression ratio",
        chapter=CHAPTER,
        formula="(clearance + pi/4 x bore^2 x effective stroke) / clearance",
        sources=(DEFINITION, practice("seat timing at 0.006 in")),
    ),
    calculation(
        compression.cranking_pressure,
        title="Cranking pressure, estimate",
        chapter=CHAPTER,
        formula="ambient x (effective ratio^n - 1)",
        sources=(Source("polytropic compression", "textbook"), practice("n from 1.20 to 1.25")),
        cautions=("For comparing engines of your own with one gauge; it certifies nothing.", CRANKING),
    ),
    calculation(
        compression.quench,
        title="Quench",
        chapter=CHAPTER,
        formula="deck clearance + compressed gasket",
        sources=(CHAIN, practice("0.90 to 1.15 mm with steel rods, never below 0.80")),
    ),
    calculation(
        compression.deck_clearance,
        title="Deck clearance",
        chapter=CHAPTER,
        formula="deck height - stroke/2 - rod - pin height",
        sources=(CHAIN,),
        cautions=("Measured on the engine, front and rear, both banks; this is the drawing's number.",),
    ),
)
