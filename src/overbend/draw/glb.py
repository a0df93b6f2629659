"""The piece as a GLB file: part by part, with names, normals and wood colours.

Binary glTF 2.0: metres, y up, z to the front. Pieces of one part share their mesh; a right-
hand piece has the mirrored one. Materials are not metallic, faces are shaded flat along
edges and smooth along bends.
"""

from __future__ import annotations

import json
import struct
from typing import Any, TypeAlias

import numpy as np

from overbend.curve import Floats
from overbend.draw.tints import wood_tint
from overbend.errors import OutputError
from overbend.frame import Body, Pose
from overbend.plan.piece import Piece

__all__ = ["piece_glb"]

Numbers: TypeAlias = np.ndarray[Any, np.dtype[Any]]

_TO_GLTF = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])  # (y, z, x)
_METRE = 1e-3
_FLOAT, _UINT = 5126, 5125
_ARRAY, _ELEMENT = 34962, 34963


def piece_glb(piece: Piece, tolerance: float = 0.2) -> bytes:
    """Write the piece as a GLB file.

    Parameters
    ----------
    piece : the piece in space.
    tolerance : of bent faces [mm].

    Raises
    ------
    OutputError
        When no part stands anywhere.

    Notes
    -----
    Each part is a node with its id as name, and its kind, wood and size in ``extras``.
    """
    if not piece.bodies:
        raise OutputError("nothing to draw", allowed="at least one part with a place")
    writer = _Writer()
    for body in piece.bodies:
        writer.add(body, piece.woods_of(body.kind), tolerance)
    return writer.file(piece.project.name)


class _Writer:
    """Collects meshes, nodes and one buffer."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.nodes: list[dict[str, Any]] = []
        self.materials: dict[str, int] = {}
        self.known: dict[tuple[object, ...], int] = {}

    def add(self, body: Body, woods: tuple[str, ...], tolerance: float) -> None:
        """Add one part as a node."""
        cuts = tuple(b"" if c is None else np.round(c, 9).tobytes() for c in body.cuts)
        shape = body.line if not body.line.straight else round(body.length, 6)
        key = (body.kind, shape if isinstance(shape, float) else id(shape), cuts)
        if key not in self.known:
            self.known[key] = len(self.meshes)
            self.meshes.append(self._mesh(body, woods, tolerance))
        self.nodes.append(
            {
                "name": body.id,
                "mesh": self.known[key],
                "matrix": _matrix(body.pose).T.ravel().tolist(),
                "extras": {"part": body.kind, "woods": list(woods),
                           "width_mm": body.width, "depth_mm": body.depth,
                           "length_mm": body.length},
            }
        )  # fmt: skip

    def _mesh(self, body: Body, woods: tuple[str, ...], tolerance: float) -> dict[str, Any]:
        points, normals, triangles = _surface(body, tolerance)
        attributes = {
            "POSITION": self._accessor(points * _METRE, "VEC3", bounds=True),
            "NORMAL": self._accessor(normals, "VEC3"),
        }
        indices = self._accessor(triangles.reshape(-1, 1), "SCALAR")
        primitive = {"attributes": attributes, "indices": indices,
                     "material": self._material(woods[0] if woods else "")}  # fmt: skip
        return {"name": body.kind, "primitives": [primitive]}

    def _accessor(self, values: Numbers, kind: str, bounds: bool = False) -> int:
        whole = kind == "SCALAR"
        packed = np.ascontiguousarray(values, "<u4" if whole else "<f4")
        self.data += b"\0" * (-len(self.data) % 4)
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": packed.nbytes,
                "target": _ELEMENT if whole else _ARRAY}  # fmt: skip
        self.data += packed.tobytes()
        self.views.append(view)
        accessor: dict[str, Any] = {
            "bufferView": len(self.views) - 1,
            "componentType": _UINT if whole else _FLOAT,
            "count": len(packed),
            "type": kind,
        }
        if bounds:
            accessor |= {"min": packed.min(axis=0).tolist(), "max": packed.max(axis=0).tolist()}
        self.accessors.append(accessor)
        return len(self.accessors) - 1

    def _material(self, wood: str) -> int:
        return self.materials.setdefault(wood, len(self.materials))

    def file(self, title: str) -> bytes:
        """Return the whole file."""
        self.data += b"\0" * (-len(self.data) % 4)
        gltf = {
            "asset": {"version": "2.0", "generator": "Overbend"},
            "scene": 0,
            "scenes": [{"name": title, "nodes": list(range(len(self.nodes)))}],
            "nodes": self.nodes,
            "meshes": self.meshes,
            "materials": [_material(wood) for wood in self.materials],
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.data)}],
        }
        text = json.dumps(gltf, separators=(",", ":")).encode()
        text += b" " * (-len(text) % 4)
        size = 12 + 8 + len(text) + 8 + len(self.data)
        chunks = [struct.pack("<4sII", b"glTF", 2, size)]
        for kind, chunk in ((b"JSON", text), (b"BIN\0", bytes(self.data))):
            chunks += [struct.pack("<I4s", len(chunk), kind), chunk]
        return b"".join(chunks)


def _material(wood: str) -> dict[str, Any]:
    red, green, blue = wood_tint(wood)
    return {
        "name": wood or "wood",
        "pbrMetallicRoughness": {
            "baseColorFactor": [red, green, blue, 1.0],
            "metallicFactor": 0.0,
            "roughnessFactor": 0.75,
        },
    }


def _matrix(pose: Pose) -> Floats:
    """From a part's own axes, in metres, to those of the file, shape (4, 4)."""
    matrix = np.eye(4)
    matrix[:3, :3] = _TO_GLTF @ pose.rotation
    matrix[:3, 3] = _TO_GLTF @ pose.origin * _METRE
    return matrix


def _surface(
    body: Body, tolerance: float
) -> tuple[Floats, Floats, np.ndarray[tuple[int, int], np.dtype[np.int64]]]:
    """Points, normals and triangles in the part's own axes; every face has its own points."""
    s = body.stations(tolerance)
    rings = body.pose.local_point(body.rings(s))
    axes = np.swapaxes(body.pose.rotation, 0, 1) @ body.axes(s)
    left, across = axes[:, :, 1], axes[:, :, 2]
    points, normals, quads = [], [], []
    at = 0
    for side, out in enumerate((-across, left, across, -left)):
        strip = np.stack([rings[:, side], rings[:, (side + 1) % 4]], axis=1)
        points.append(strip.reshape(-1, 3))
        normals.append(np.repeat(out, 2, axis=0))
        i = at + 2 * np.arange(len(s) - 1)[:, None]
        quads.append(i + np.array([[0, 1, 3, 2]]))
        at += 2 * len(s)
    for ring, order, end in ((rings[0], (3, 2, 1, 0), 0), (rings[-1], (0, 1, 2, 3), 1)):
        points.append(ring[list(order)])
        normals.append(np.broadcast_to(body.pose.local_way(body.end_normal(end)), (4, 3)))
        quads.append(at + np.arange(4)[None])
        at += 4
    corners = np.concatenate(quads)
    triangles = np.concatenate([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]])
    return np.concatenate(points), np.concatenate(normals), triangles
