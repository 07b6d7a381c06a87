"""Proposals: which tubes to open, where each splice goes, what to do with stubs; ranked, explained, deterministic."""

from model.planning.proposal import Proposal
from model.planning.stubs import tidy_stubs
from model.planning.trays import fill_trays
from model.planning.tubes import open_tubes

__all__ = ["Proposal", "fill_trays", "open_tubes", "tidy_stubs"]
