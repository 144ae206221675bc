"""A small photo studio: it builds an opening in a bathroom, renders it with Mitsuba 3 and writes down the exact truth.

    camera.py    pinhole with radial distortion: points to pixels, pixels to rays
    opening.py   the opening's outline and its sizes, in the plane of the wall face
    surfaces.py  paint, tile, paper, metal as Mitsuba materials
    shapes.py    boxes, panels, rods and cards as Mitsuba meshes
    prints.py    patterns for cards
    room.py      wall, alcove, curb or tub, header, floor
    lights.py    lamps and daylight
    sizes.py     true and measured sizes of cards
    things.py    reference cards, plumb line, fittings and clutter
    shot.py      one scene: everything that has to be known to render it
    trace.py     rays through the scene, averaged to a linear picture
    develop.py   linear picture -> the JPEG of a phone
    record.py    the truth (JSON) and the tape readings (TOML)
    run.py       the command line that both scene scripts share

Nothing here is shared with the program under test: the projection, the sizes and the sign of a lean are written again.

World: the opening plane is the wall face, z = 0; x right, y up (plumb), z toward the camera, millimetres; the origin is
the foot of the left wall. Pixels: (x, y), (0, 0) is the centre of the top-left pixel of the upright photo.
"""
