"""A disinfection by its kind: bleach, thiosulfate, or dry air."""

from __future__ import annotations

from pratique.dosing.cleaning.chlorine import work_out_chlorine
from pratique.dosing.cleaning.drying import work_out_drying
from pratique.dosing.cleaning.model import CleanAnswer, CleanRequest
from pratique.dosing.cleaning.thiosulfate import work_out_thiosulfate

_BY_ACTIVE = {"chlorine": work_out_chlorine, "sodium thiosulfate": work_out_thiosulfate, "": work_out_drying}


def work_out_cleaning(request: CleanRequest) -> CleanAnswer:
    """The sheet of a treatment of the kind `disinfection`, or a Refusal with every reason, worst first."""
    return _BY_ACTIVE[request.treatment.active](request)
