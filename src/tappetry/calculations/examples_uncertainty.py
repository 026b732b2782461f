"""Example inputs for uncertainties and intervals: a gauge block and a bore read in the shop."""

from __future__ import annotations

from typing import Any

EXAMPLES: dict[str, Any] = {
    "tolerances": (0.03, 0.04, 0.12),
    "half_width": 0.05,
    "standard_uncertainty": 0.12,
    "contributions": (25.0, 9.7, 2.9, 16.6),
    "freedoms": (18.0, 25.6, 50.0, 2.0),
    "confidence": 0.95,
    "combined_uncertainty": 31.7,
    "coverage_factor": 2.0,
    "first_uncertainty": 0.03,
    "second_uncertainty": 0.04,
    "factors": (102.0, 92.0),
    "powers": (2.0, 1.0),
    "factor_uncertainties": (0.01, 0.02),
    "sample": (102.01, 102.03, 102.02, 102.02),
    "sample_uncertainties": (0.01, 0.01, 0.02, 0.01),
    "first_low": 1.0,
    "first_high": 2.0,
    "second_low": 2.0,
    "second_high": 4.0,
    "proof_margin": 0.3,
    "bore_uncertainty": 1e-5,
    "stroke_uncertainty": 2e-5,
    "chamber_uncertainty": 0.5e-6,
    "other_clearance_volume": 19.2e-6,
}
