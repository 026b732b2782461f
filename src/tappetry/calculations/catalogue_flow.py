"""Calculations of steady flow: perfect gas, orifices and nozzles, the flow bench, valves and ports."""

from __future__ import annotations

from tappetry.calculations.building import calculation
from tappetry.calculations.sources import BERNOULLI, CONTINUITY, DEFINITION, GEOMETRY, practice, textbook
from tappetry.engineering import compressible, flow_bench, nozzles, shocks, valve_area

CHAPTER = "Flow"
ANDERSON = textbook("Anderson, Modern Compressible Flow, appendices A and B")
HEYWOOD_FLOW = textbook("Heywood, Internal Combustion Engine Fundamentals, eqs. C.8 and C.9")
HEYWOOD_VALVE = textbook("Heywood, Internal Combustion Engine Fundamentals, eqs. 6.7 to 6.14")
CENGEL = textbook("Cengel and Boles, Thermodynamics, chapter 17")
TAYLOR = textbook("Taylor, The Internal-Combustion Engine, volume 1, chapter 6")
PERFECT = "Perfect gas: take gamma and R of this gas at about this temperature."
ABSOLUTE = "Pressures are absolute, temperatures from absolute zero."
BENCH = "A flow belongs to its depression, a coefficient to its area; name both."

CALCULATIONS = (
    calculation(
        compressible.sound_speed,
        title="Speed of sound",
        chapter=CHAPTER,
        formula="sqrt(gamma R T)",
        sources=(CENGEL,),
        cautions=(PERFECT,),
    ),
    calculation(
        compressible.mach_number,
        title="Mach number of a moving gas",
        chapter=CHAPTER,
        formula="|velocity| / sqrt(gamma R T)",
        sources=(CENGEL,),
        cautions=(PERFECT,),
    ),
    calculation(
        compressible.stagnation_ratios,
        title="Stagnation over static temperature, pressure and density",
        chapter=CHAPTER,
        formula="t = T0/T = 1 + (gamma-1)/2 M^2; p0/p = t^(gamma/(gamma-1)); rho0/rho = t^(1/(gamma-1))",
        sources=(ANDERSON,),
    ),
    calculation(
        compressible.mach_from_pressure_ratio,
        title="Mach number from stagnation and static pressure",
        chapter=CHAPTER,
        outputs=("mach_number",),
        formula="sqrt(2/(gamma-1) ((p0/p)^((gamma-1)/gamma) - 1))",
        sources=(ANDERSON,),
    ),
    calculation(
        compressible.critical_ratios,
        title="Sonic over stagnation temperature, pressure and density",
        chapter=CHAPTER,
        formula="t = T*/T0 = 2/(gamma+1); p*/p0 = t^(gamma/(gamma-1)); rho*/rho0 = t^(1/(gamma-1))",
        sources=(ANDERSON,),
    ),
    calculation(
        compressible.critical_state,
        title="Temperature and pressure at Mach 1",
        chapter=CHAPTER,
        formula="T* = 2 T0/(gamma+1); p* = p0 (T*/T0)^(gamma/(gamma-1))",
        sources=(CENGEL,),
        cautions=(PERFECT, ABSOLUTE),
    ),
    calculation(
        compressible.sonic_area_ratio,
        title="Area over sonic area, A/A*",
        chapter=CHAPTER,
        formula="1/M (2/(gamma+1) (1 + (gamma-1)/2 M^2))^((gamma+1)/(2(gamma-1)))",
        sources=(ANDERSON,),
    ),
    calculation(
        compressible.mach_from_area_ratio,
        title="Mach numbers for an area ratio A/A*",
        chapter=CHAPTER,
        formula="both roots of the area formula, one on each side of Mach 1",
        sources=(ANDERSON,),
    ),
    calculation(
        compressible.flow_parameter,
        title="Flow parameter",
        chapter=CHAPTER,
        formula="sqrt(gamma) M (1 + (gamma-1)/2 M^2)^(-(gamma+1)/(2(gamma-1)))",
        sources=(ANDERSON,),
    ),
    calculation(
        shocks.normal_shock,
        title="Standing normal shock",
        chapter=CHAPTER,
        formula="p2/p1 = 1 + 2 gamma/(gamma+1) (M1^2 - 1); rho2/rho1 = (gamma+1) M1^2/(2 + (gamma-1) M1^2)",
        sources=(ANDERSON,),
    ),
    calculation(
        nozzles.orifice_flow,
        title="Mass flow through a valve, orifice or nozzle",
        chapter=CHAPTER,
        formula="Cd A p0/sqrt(R T0) r^(1/g) sqrt(2g/(g-1) (1 - r^((g-1)/g))), r = p/p0 or p*/p0, the higher",
        sources=(HEYWOOD_FLOW,),
        cautions=(PERFECT, ABSOLUTE),
    ),
    calculation(
        nozzles.choked_mass_flow,
        title="Choked mass flow",
        chapter=CHAPTER,
        outputs=("mass_flow",),
        formula="Cd A p0/sqrt(R T0) sqrt(gamma) (2/(gamma+1))^((gamma+1)/(2(gamma-1)))",
        sources=(HEYWOOD_FLOW,),
        cautions=(PERFECT, ABSOLUTE),
    ),
    calculation(
        nozzles.nozzle_flow,
        title="Nozzle that gas enters with a velocity",
        chapter=CHAPTER,
        formula="T0 = T + u^2/(2 cp); p0 = p (T0/T)^(gamma/(gamma-1)); then as an orifice",
        sources=(CENGEL,),
        cautions=(PERFECT, ABSOLUTE),
        example={"downstream_pressure": 0.4e6, "flow_area": 5e-3},
    ),
    calculation(
        nozzles.effective_area,
        title="Effective area from a mass flow",
        chapter=CHAPTER,
        formula="mass flow / mass flow of the ideal nozzle through 1 m2",
        sources=(HEYWOOD_FLOW,),
        cautions=(PERFECT, ABSOLUTE),
    ),
    calculation(
        nozzles.incompressible_mass_flow,
        title="Mass flow, density unchanged",
        chapter=CHAPTER,
        formula="Cd A sqrt(2 rho dp)",
        sources=(BERNOULLI,),
        cautions=("For a drop of a few per cent of the pressure; beyond it reads too much.",),
    ),
    calculation(
        flow_bench.bench_velocity,
        title="Velocity of a bench's depression",
        chapter=CHAPTER,
        formula="sqrt(2 dp / rho)",
        sources=(BERNOULLI,),
    ),
    calculation(
        flow_bench.flow_at_depression,
        title="Bench flow at another depression",
        chapter=CHAPTER,
        formula="Q sqrt(wanted / tested depression)",
        sources=(BERNOULLI, practice("28 inH2O for heads")),
        cautions=(BENCH,),
    ),
    calculation(
        flow_bench.bench_discharge_coefficient,
        title="Discharge coefficient from a bench flow, density unchanged",
        chapter=CHAPTER,
        formula="Q / (A sqrt(2 dp / rho))",
        sources=(BERNOULLI,),
        cautions=(BENCH, "Above 1 the area, the depression or the calibration is wrong."),
        example={"flow_area": 2.0747e-3},
    ),
    calculation(
        flow_bench.compressible_discharge_coefficient,
        title="Discharge coefficient from a bench flow, against the ideal nozzle",
        chapter=CHAPTER,
        formula="Q rho / mass flow of the ideal nozzle",
        sources=(HEYWOOD_FLOW,),
        cautions=(BENCH, PERFECT),
        example={"flow_area": 2.0747e-3},
    ),
    calculation(
        valve_area.curtain_area,
        title="Curtain area of a valve",
        chapter=CHAPTER,
        formula="pi x head diameter x lift",
        sources=(GEOMETRY, HEYWOOD_VALVE),
    ),
    calculation(
        valve_area.port_area,
        title="Port area at the stem",
        chapter=CHAPTER,
        formula="pi/4 (port^2 - stem^2)",
        sources=(GEOMETRY,),
    ),
    calculation(
        valve_area.curtain_lift,
        title="Lift at which curtain and port are equal",
        chapter=CHAPTER,
        formula="(port^2 - stem^2) / (4 head)",
        sources=(GEOMETRY,),
    ),
    calculation(
        valve_area.lift_over_diameter,
        title="Lift over head diameter",
        chapter=CHAPTER,
        formula="lift / head diameter",
        sources=(DEFINITION,),
    ),
    calculation(
        valve_area.valve_flow_area,
        title="Narrowest area of a valve",
        chapter=CHAPTER,
        formula="shortest cone from face to seat, then from edge to edge, then the port",
        sources=(HEYWOOD_VALVE,),
    ),
    calculation(
        flow_bench.mean_flow_coefficient,
        title="Mean flow coefficient of a bench sheet over a lobe",
        chapter=CHAPTER,
        formula="mean over crank angle of the bench's coefficient at the lift of that angle",
        sources=(TAYLOR,),
        cautions=(BENCH, "All coefficients by the area of the head."),
        example={"lift_at_valve": 0.012},
    ),
    calculation(
        flow_bench.inlet_mach_index,
        title="Inlet Mach index",
        chapter=CHAPTER,
        formula="(bore / head)^2 / valves x piston speed / (mean coefficient x speed of sound)",
        sources=(TAYLOR,),
        cautions=("The mean coefficient is that of the whole opening, by the area of the head.",),
    ),
    calculation(
        flow_bench.speed_for_mach_index,
        title="Engine speed for an inlet Mach index",
        chapter=CHAPTER,
        formula="pi/stroke x Z x valves x (head / bore)^2 x mean coefficient x speed of sound",
        sources=(TAYLOR,),
    ),
    calculation(
        flow_bench.mean_port_velocity,
        title="Mean velocity in a port",
        chapter=CHAPTER,
        formula="pi/4 bore^2 / area x piston speed",
        sources=(CONTINUITY,),
        cautions=("The velocity at the piston's fastest is about 1.6 times the mean.",),
        example={"flow_area": 1.5e-3},
    ),
)
