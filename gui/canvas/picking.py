"""What lies under a point of the canvas, nearest first: by geometry, not by the order things were painted in."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF

from gui.canvas.scene import DrawingScene

SURFACES = ("enclosure:", "tray:", "bay:")
"""Faces that everything else lies on: picked only when nothing else is near."""


def candidates(scene: DrawingScene, at: QPointF, reach_mm: float) -> list[str]:
    """Refs of the things within reach of a point, the top one first, faces last, each once."""
    box = QRectF(at.x() - reach_mm, at.y() - reach_mm, 2 * reach_mm, 2 * reach_mm)
    found: list[tuple[bool, float, str]] = []
    for item in scene.shown.values():
        ref = item.picture.ref
        if not ref or not item.sceneBoundingRect().intersects(box):
            continue
        if item.hit_shape().intersects(item.mapRectFromScene(box)):
            found.append((ref.startswith(SURFACES), -item.zValue(), ref))
    return list(dict.fromkeys(ref for _, _, ref in sorted(found)))
