"""Calculations of the vehicle: tyre, gears, converter, road speed."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.model import Source
from tappetry.calculations.sources import DEFINITION, GEOMETRY, practice, standard, textbook
from tappetry.engineering import driving, vehicle

CHAPTER = "Vehicle"
NOMINAL = "Nominal and unloaded: the loaded tyre rolls about 3 % less; roll the car one turn and measure."
SIZE = standard("ISO 4000-1")

CALCULATIONS = (
    calculation(
        vehicle.tyre_from_size,
        title="Tyre dimensions by its size",
        chapter=CHAPTER,
        texts={"tyre_size": "as it is written on the tyre: 225/60R16 or 31x10.50R15"},
        formula="height = width x ratio, diameter = rim + 2 x height; a flotation size states the diameter",
        sources=(SIZE,),
        cautions=(NOMINAL,),
        example={"tyre_size": "265/70R17"},
    ),
    calculation(
        vehicle.tyre_dimensions,
        title="Tyre dimensions by width, ratio and rim",
        chapter=CHAPTER,
        formula="height = width x ratio, diameter = rim + 2 x height",
        sources=(SIZE,),
        cautions=(NOMINAL,),
    ),
    calculation(
        vehicle.rolling_tyre,
        title="Rolling circumference of a loaded tyre",
        chapter=CHAPTER,
        formula="factor x overall diameter",
        sources=(standard("UN Regulation 30"),),
        cautions=("A chalk mark on tyre and floor has the last word.",),
    ),
    calculation(
        vehicle.road_speed,
        title="Road speed at an engine speed",
        chapter=CHAPTER,
        formula="engine speed x (1 - slip) / (gear x axle) x diameter / 2; mph = rpm x in / (336.1 x ratio)",
        sources=(GEOMETRY,),
        cautions=(NOMINAL,),
    ),
    calculation(
        vehicle.engine_speed_on_road,
        title="Engine speed at a road speed",
        chapter=CHAPTER,
        outputs=("engine_speed",),
        formula="2 x speed x gear x axle / (diameter x (1 - slip))",
        sources=(GEOMETRY, practice("cruise inside the camshaft's band")),
        cautions=(NOMINAL,),
    ),
    calculation(
        vehicle.final_drive_for_speeds,
        title="Axle ratio for an engine speed at a road speed",
        chapter=CHAPTER,
        outputs=("final_drive",),
        formula="engine speed x (1 - slip) x diameter / (2 x speed x gear)",
        sources=(GEOMETRY,),
        cautions=(NOMINAL, "With a gear ratio of 1 it is the overall ratio."),
    ),
    calculation(
        vehicle.converter_slip,
        title="Slip of a torque converter",
        chapter=CHAPTER,
        formula="1 - output speed / engine speed",
        sources=(DEFINITION,),
    ),
    calculation(
        vehicle.stall_speed,
        title="Stall speed behind another engine",
        chapter=CHAPTER,
        formula="stated stall speed x sqrt(torque / stated torque)",
        sources=(Source("torque by the square of the speed", "textbook"),),
        cautions=("An estimate: the torque at the stall speed counts, not the peak. Never stall for long.",),
    ),
    calculation(
        driving.stall_on_curve,
        title="Stall speed on a torque curve",
        chapter=CHAPTER,
        formula="where the curve meets stated torque x (speed / stated stall)^2; K = rpm / sqrt(lbf.ft)",
        sources=(Source("torque by the square of the speed", "textbook"),),
        cautions=("Never stall for long: the oil of the converter boils within seconds.",),
    ),
    calculation(
        driving.launch_torque,
        title="Torque behind the converter at the stall",
        chapter=CHAPTER,
        formula="torque at the stall x torque ratio of the converter",
        sources=(DEFINITION,),
    ),
    calculation(
        driving.road_load,
        title="Load of a level road",
        chapter=CHAPTER,
        formula="mass x 9.80665 x rolling resistance + density / 2 x speed^2 x drag area",
        sources=(textbook("Gillespie, Fundamentals of Vehicle Dynamics, chapter 4"),),
        cautions=("Without wind, hill or trailer: a trailer often doubles it.",),
    ),
    calculation(
        driving.torque_for_road_load,
        title="Torque that holds a load of the road",
        chapter=CHAPTER,
        formula="load x diameter / (2 x efficiency x gear x axle)",
        sources=(Source("balance of power", "textbook"),),
    ),
    calculation(
        vehicle.speed_after_shift,
        title="Engine speed after a shift",
        chapter=CHAPTER,
        outputs=("engine_speed",),
        formula="engine speed x next ratio / ratio",
        sources=(DEFINITION,),
    ),
    calculation(
        vehicle.true_road_speed,
        title="True speed with another tyre or axle",
        chapter=CHAPTER,
        outputs=("road_speed",),
        formula="indicated x diameter / original diameter x original axle / axle",
        sources=(GEOMETRY,),
        cautions=("For a speedometer that counts the gearbox's output; the law wants it corrected.",),
    ),
    calculation(
        vehicle.tractive_force,
        title="Push of the driven tyres",
        chapter=CHAPTER,
        formula="2 x torque x gear x axle x efficiency / diameter",
        sources=(Source("balance of power", "textbook"),),
        cautions=("No more than the tyres hold.",),
    ),
)
