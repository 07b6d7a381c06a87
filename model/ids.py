"""Names of the identities in a plant. An id is opaque, stable through renames, and unique within its kind.

Ids come from outside (a builder, an edit, a file): the model invents none, so that the same steps give the same plant.
"""

from __future__ import annotations

from typing import NewType

SchemeId = NewType("SchemeId", str)
FibreClassId = NewType("FibreClassId", str)
CableTypeId = NewType("CableTypeId", str)
EnclosureTypeId = NewType("EnclosureTypeId", str)
TrayTypeId = NewType("TrayTypeId", str)
SplitterTypeId = NewType("SplitterTypeId", str)
SleeveTypeId = NewType("SleeveTypeId", str)
SiteId = NewType("SiteId", str)
CableId = NewType("CableId", str)
StopId = NewType("StopId", str)
EnclosureId = NewType("EnclosureId", str)
TrayId = NewType("TrayId", str)
RouteId = NewType("RouteId", str)
SpliceId = NewType("SpliceId", str)
SplitterId = NewType("SplitterId", str)
PortId = NewType("PortId", str)
MatingId = NewType("MatingId", str)
ServiceId = NewType("ServiceId", str)
TicketId = NewType("TicketId", str)
