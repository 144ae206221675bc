"""Thresholds of the cues: joints of a tiled face and lines that run back, held against the adjusted camera."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class JointSettings:
    """Which lines are joints of a grid, and how true a tiler's grid is (common practice, no source, where none is named)."""

    held: bool = True
    """whether cues are looked for at all and held against the camera; they cost a decode of the photo or two"""
    enter: bool = False
    """whether they enter the adjustment: off, as the grids of the rooms in which that helps are perfect (tables/cues.txt)"""
    limit_sd: float = 3.5
    """standard deviations of cue and camera together beyond which a cue contradicts: 3 for one, of up to six in a photo"""
    long_side_px: int = 1344
    """px; size of the picture in which segments are sought: a third of 12 MP; half finds the same joints in twice the time"""
    shortest_px: float = 12.0
    """px of that picture; shorter segments are texture"""
    point_px: float = 0.5
    """px at 12 MP; sd of a segment's middle across it (a quarter of a pixel of the smaller picture)"""
    slope_reach: float = 0.06
    """mm/mm; a segment steeper against its family is none of it"""
    clear_mm: float = 25.0
    """mm; from the opening's own edges, which are no joints"""
    reach_mm: float = 1500.0
    """mm; how far beside and above the opening the face is looked at"""
    gap_mm: float = 8.0
    """mm; segments closer than this across are one joint: its two edges are up to 6 mm apart"""
    shortest_mm: float = 400.0
    """mm; of a joint from its first middle to its last"""
    narrowest_mm: float = 400.0
    """mm; from the first joint to the last"""
    fewest_segments: int = 3
    """of a joint"""
    fewest_joints: int = 5
    """of a family: a fan of fewer has nothing to hold it"""
    most_scatter: float = 2.0
    """times their stated sd; joints that scatter more are no grid"""
    least_period_mm: float = 60.0
    """mm; the spacing of mosaics is finer and is not used"""
    own_slope_sd: float = 0.0007
    """mm/mm; each joint's own course: half a millimetre over a short one"""
    own_place_sd_mm: float = 1.0
    """mm; each joint's place in its grid"""
    common_sd_deg: float = 0.05
    """deg; what all joints of a family share: a face that is not flat, a grid that fans out, the lens"""
    back_level_sd: float = 0.003
    """mm/mm; how level joints on side walls run from front to back, all alike (as DepthSettings.joint_level_sd)"""
    back_square_sd: float = 0.01
    """mm/mm; how square side walls stand to the face, all alike (as DepthSettings.flare_sd)"""
    fewest_back: int = 12
    """segments that run back"""
