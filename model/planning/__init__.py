"""Proposals: which tubes to open, where each splice goes, what to do with stubs; ranked, explained, deterministic."""

from model.planning.proposal import Proposal
from model.planning.tubes import open_tubes

__all__ = ["Proposal", "open_tubes"]
