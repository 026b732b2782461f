"""Calculations of waves in pipes: exact solutions, running shocks, simple waves, tones and tuning."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import DEFINITION, practice, textbook
from tappetry.engineering import acoustics, duct_flow, riemann, shocks, tuning, waves

CHAPTER = "Gas dynamics"
TORO = textbook("Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, chapter 4")
BLAIR = textbook("Blair, Design and Simulation of Four-Stroke Engines, chapter 2")
ANDERSON = textbook("Anderson, Modern Compressible Flow, chapters 3 and 7")
KINSLER = textbook("Kinsler et al., Fundamentals of Acoustics")
COURANT = textbook("Anderson, Modern Compressible Flow, on the condition of Courant, Friedrichs and Lewy")
SMALL = "Small waves in gas at rest; an engine's pulses are large and its gas moves. Good for a first length."
HOT = "The speed of sound is that of the gas in the pipe: exhaust gas is twice as fast as air."

CALCULATIONS = (
    calculation(
        riemann.riemann_problem,
        title="Two states that meet",
        chapter=CHAPTER,
        formula="fL(p*) + fR(p*) + uR - uL = 0, shock or fan on each side",
        sources=(TORO,),
    ),
    calculation(
        riemann.shock_tube_waves,
        title="Positions of the waves of a shock tube",
        chapter=CHAPTER,
        formula="x = x0 + S t for head and tail of both waves and the contact",
        sources=(TORO,),
    ),
    calculation(
        riemann.riemann_state,
        title="State at a place of a shock tube",
        chapter=CHAPTER,
        formula="U((x - x0)/t)",
        sources=(TORO,),
    ),
    calculation(
        shocks.running_shock,
        title="Shock that runs into gas at rest, and its reflection",
        chapter=CHAPTER,
        formula="M = sqrt(1 + (g+1)/(2g) (P-1)); u = 2a/(g+1) (M - 1/M); Pr = ((3g-1)P - g+1)/((g-1)P + g+1)",
        sources=(ANDERSON,),
    ),
    calculation(
        shocks.strong_shock_limits,
        title="Limits of a shock",
        chapter=CHAPTER,
        formula="density (gamma+1)/(gamma-1); reflected pressure (3 gamma-1)/(gamma-1)",
        sources=(ANDERSON,),
    ),
    calculation(
        waves.finite_amplitude_wave,
        title="Wave of finite amplitude",
        chapter=CHAPTER,
        formula="X = (p/p0)^((g-1)/(2g)); c = 2 a0/(g-1) (X-1); propagation = c + a0 X",
        sources=(BLAIR,),
    ),
    calculation(
        waves.wave_superposition,
        title="Two waves that meet head on",
        chapter=CHAPTER,
        formula="X = X1 + X2 - 1; c = 2 a0/(g-1) (X1 - X2)",
        sources=(BLAIR,),
    ),
    calculation(
        waves.shock_formation_distance,
        title="Run after which a pulse is a shock",
        chapter=CHAPTER,
        formula="a0 x propagation x rise time / (propagation - a0)",
        sources=(BLAIR,),
    ),
    calculation(
        waves.courant_time_step,
        title="Time step by the Courant condition",
        chapter=CHAPTER,
        formula="C dx / (|u| + a)",
        sources=(COURANT,),
    ),
    calculation(
        duct_flow.friction_ratios,
        title="Pipe with friction",
        chapter=CHAPTER,
        formula="4fL*/D = (1-M^2)/(g M^2) + (g+1)/(2g) ln((g+1)M^2/(2+(g-1)M^2)); T/T* = (g+1)/(2+(g-1)M^2)",
        sources=(ANDERSON,),
    ),
    calculation(
        duct_flow.heating_ratios,
        title="Pipe with heat",
        chapter=CHAPTER,
        formula="p/p* = (1+g)/(1+g M^2); T/T* = M^2 (p/p*)^2; T0/T0* = (g+1)M^2(2+(g-1)M^2)/(1+g M^2)^2",
        sources=(ANDERSON,),
    ),
    calculation(
        acoustics.quarter_wave_frequency,
        title="Tone of a pipe closed at one end",
        chapter=CHAPTER,
        formula="(2n - 1) a / (4 (L + correction))",
        sources=(KINSLER,),
        cautions=(SMALL, HOT),
    ),
    calculation(
        acoustics.half_wave_frequency,
        title="Tone of a pipe open at both ends",
        chapter=CHAPTER,
        formula="n a / (2 (L + correction))",
        sources=(KINSLER,),
        cautions=(SMALL, HOT),
    ),
    calculation(
        acoustics.end_correction,
        title="Length that an open end adds",
        chapter=CHAPTER,
        formula="8/(3 pi) x radius in a wall, 0.6 x radius standing free",
        sources=(KINSLER,),
        choices={"end_shape": tuple(acoustics.END_CORRECTIONS)},
        example={"end_shape": "flanged"},
    ),
    calculation(
        acoustics.helmholtz_frequency,
        title="Helmholtz resonator",
        chapter=CHAPTER,
        formula="a/(2 pi) sqrt(A/(V L))",
        sources=(KINSLER,),
        cautions=(SMALL,),
    ),
    calculation(
        tuning.tuned_speed,
        title="Engine speed that a runner helps",
        chapter=CHAPTER,
        formula="2 pi f / K",
        sources=(DEFINITION, practice("K from 2.0 to 2.5 for runner and cylinder at half stroke")),
        cautions=(SMALL,),
    ),
    calculation(
        tuning.tuned_length,
        title="Pipe length for the return of a wave",
        chapter=CHAPTER,
        formula="a x angle / (2 x speed)",
        sources=(DEFINITION,),
        cautions=(SMALL, HOT),
    ),
    calculation(
        tuning.wave_angle,
        title="Crank angle of a wave there and back",
        chapter=CHAPTER,
        formula="2 L x speed / a",
        sources=(DEFINITION,),
        cautions=(SMALL, HOT),
    ),
    calculation(
        tuning.travel_time,
        title="Time of a wave there and back",
        chapter=CHAPTER,
        formula="2 L / a",
        sources=(DEFINITION,),
        cautions=(HOT,),
    ),
    calculation(
        acoustics.wavelength,
        title="Wavelength",
        chapter=CHAPTER,
        formula="a / f",
        sources=(DEFINITION,),
    ),
    calculation(
        acoustics.plane_wave,
        title="Small plane wave",
        chapter=CHAPTER,
        formula="Z = rho a; u = p/Z; I = p^2/(2 Z)",
        sources=(KINSLER,),
    ),
    calculation(
        acoustics.area_change,
        title="Small wave at a change of area or a junction",
        chapter=CHAPTER,
        formula="R = (A1 - A2 - A3)/(A1 + A2 + A3); T = 1 + R",
        sources=(KINSLER,),
        cautions=("An area of 0 is a closed end, an infinite one an open end.",),
    ),
    calculation(
        acoustics.pipe_end_reflection,
        title="Small wave at the end of a pipe",
        chapter=CHAPTER,
        outputs=("pressure_reflection",),
        formula="1 at a closed end, -1 at an open one",
        sources=(KINSLER,),
        choices={"pipe_end": tuple(acoustics.END_REFLECTIONS)},
        example={"pipe_end": "open"},
    ),
    calculation(
        acoustics.transmission_loss,
        title="Transmission loss of an expansion chamber",
        chapter=CHAPTER,
        formula="10 lg(1 + (m - 1/m)^2/4 sin^2 kL), in decibels",
        sources=(KINSLER,),
        cautions=("Without flow, and with nothing behind that throws the sound back.",),
        example={"pipe_length": 0.4},
    ),
)
