"""The `tapewitness` command: a second shell over the same door as the HTTP one.

Exit codes: 0 ready, 1 hold, 2 wrong use or unreadable text, 3 cannot be measured, 70 internal error, 130 interrupted.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from api.guard import GOES_ON, READY, STOPPED, OnceCommand, guarded, internal, show_version

app = typer.Typer(
    name="tapewitness",
    epilog="Exit codes: 0 ready, 1 hold, 2 wrong use, 3 cannot be measured, 70 internal error, 130 interrupted.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


@app.callback()
def tapewitness(
    version: Annotated[
        bool, typer.Option("--version", callback=show_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    """Hold the tape readings of an opening against a photo with a reference card."""


@app.command(cls=OnceCommand)
def check(
    photo: Annotated[
        list[Path] | None,
        typer.Argument(
            help="Photo of the opening (JPEG, PNG, WebP or HEIC); several of one opening. May be left out with --readings."
        ),
    ] = None,
    readings: Annotated[
        Path | None, typer.Option(help="Tape readings, a TOML or CSV file. Without it the order is on hold.")
    ] = None,
    card: Annotated[
        list[str] | None,
        typer.Option(
            help="Reference card: KIND[#N][@OFFSET[+-SD]][=WxHmm[+-SD]], KIND one of a4, letter, id-1, "
            "sheet, quarter (our own print) or WxHmm; repeatable. "
            "Never photograph a payment card's number."
        ),
    ] = None,
    card_offset: Annotated[
        float | None, typer.Option(help="Depth in mm of every card's plane behind the opening plane; negative in front.")
    ] = None,
    card_corners: Annotated[
        list[str] | None,
        typer.Option(help='Corners of a card you point out: "[P:] KIND x,y x,y x,y x,y", in the order of --corners; repeatable.'),
    ] = None,
    corners: Annotated[
        list[str] | None,
        typer.Option(
            help="Rough corners of the opening in pixels, bottom-left bottom-right top-right top-left; per photo, - for none."
        ),
    ] = None,
    corners_within: Annotated[
        float | None,
        typer.Option(
            metavar="PX",
            help="How well --corners are marked, 1 to 40 pixels of the full-size photo (15 unless stated). With few, "
            "a second line beside the opening's edge is not taken for it.",
        ),
    ] = None,
    plumb_line: Annotated[
        list[str] | None, typer.Option(help='Two rough points on a plumb line: "[P:] x,y x,y", P the photo; repeatable.')
    ] = None,
    level_card: Annotated[
        list[int] | None, typer.Option(help="Number of a card that was set with a level, as in the pictures; repeatable.")
    ] = None,
    level: Annotated[
        list[str] | None,
        typer.Option(
            help="Spirit level in the picture, standing or lying, two rough points along one long side: "
            '"[P:] x,y x,y [@OFFSET[+-SD]] [=LENGTHmm[+-SD]]"; with a length (mm, cm, in) the points are two corners; repeatable.'
        ),
    ] = None,
    grout: Annotated[
        list[str] | None,
        typer.Option(help='Two rough points on a joint between tiles, upright or level: "[P:] x,y x,y"; repeatable.'),
    ] = None,
    side_joint: Annotated[
        list[str] | None,
        typer.Option(
            help='Two rough points on a level joint that runs back on a side wall: "[P:] left|right x,y x,y"; '
            "with --door-line; repeatable."
        ),
    ] = None,
    level_curb: Annotated[
        bool, typer.Option("--level-curb", help="Take the curb as level (to 3 mm/m) where nothing better is vertical.")
    ] = False,
    door_line: Annotated[
        str | None,
        typer.Option(metavar="MM[+-SD]", help="Depth behind the wall face of the plane to measure, as the middle of the curb."),
    ] = None,
    no_head: Annotated[bool, typer.Option("--no-head", help="Nothing closes the opening above.")] = False,
    height: Annotated[str | None, typer.Option(help="Height of the opening, any notation; useful with --no-head.")] = None,
    door: Annotated[
        str | None, typer.Option(metavar="KIND", help="Kind of door to work out sizes for, as in the README.")
    ] = None,
    hardware: Annotated[
        Path | None, typer.Option(help="Your hardware sheet, a TOML file: numbers that overrule the built-in ones.")
    ] = None,
    json: Annotated[str | None, typer.Option(metavar="FILE|-", help="Write the report as JSON; - for standard output.")] = None,
    order_sheet: Annotated[
        Path | None, typer.Option(help="Write the order sheet, to be signed, as FILE.pdf or FILE.html.")
    ] = None,
    paper: Annotated[str, typer.Option(metavar="a4|letter", help="Paper of the order sheet.")] = "letter",
    pictures: Annotated[
        Path | None,
        typer.Option(
            help="Folder for pictures NAME-seen.jpg, NAME-opening.png and NAME-walls.png, without --corners NAME-candidates.png."
        ),
    ] = None,
) -> None:
    """Check one opening: the readings against one another and against one photo, or several photos, of it."""

    def work() -> int:
        from api import checking, files
        from api.request import Options

        options = Options(
            cards=card or (),
            card_offset=card_offset,
            card_corners=card_corners or (),
            corners=corners or (),
            plumb_lines=plumb_line or (),
            level_cards=level_card or (),
            levels=level or (),
            grout=grout or (),
            side_joints=side_joint or (),
            level_curb=level_curb,
            door_line=door_line,
            head=not no_head,
            height=height,
            door=door,
            hardware=files.read_hardware(hardware),
            corners_within=corners_within,
        )
        return checking.run(photo or [], readings, options, checking.Outputs(json, pictures, order_sheet, paper))

    raise typer.Exit(guarded(work))


@app.command(cls=OnceCommand)
def plan(
    width: Annotated[str, typer.Option(help='Width of the opening, any notation with its unit, as "56 in".')],
    height: Annotated[str, typer.Option(help="Height of the opening.")],
    reference: Annotated[
        list[str],
        typer.Option(
            help='What will be put up where: "CARD [lying] PLACE [PLACE ...]", PLACE left-top, left-middle, left-bottom, '
            "right-top, right-middle, right-bottom, curb, or X,Y in mm from the foot of the left wall; repeatable."
        ),
    ],
    distance: Annotated[str, typer.Option(help="Distance of the camera from the opening.")] = "2.4 m",
    focal: Annotated[float, typer.Option(help="Focal length, 35 mm equivalent.")] = 26.0,
    no_metadata: Annotated[bool, typer.Option("--no-metadata", help="The file will carry no focal length.")] = False,
    plumb: Annotated[bool, typer.Option("--plumb", help="A plumb line will hang in the opening.")] = False,
    no_head: Annotated[bool, typer.Option("--no-head", help="Nothing closes the opening above.")] = False,
    json: Annotated[str | None, typer.Option(metavar="FILE|-", help="Write the plan as JSON; - for standard output.")] = None,
    picture: Annotated[Path | None, typer.Option(metavar="FILE", help="Write a drawing of the plan (PNG).")] = None,
) -> None:
    """Before the visit: what would a photo tell, and what would help most."""

    def work() -> int:
        from api import planning
        from vision.check import PlanRequest

        request = PlanRequest(
            width, height, tuple(reference), distance, None if no_metadata else focal, head=not no_head, plumb_line=plumb
        )
        return planning.run(request, planning.PlanOutputs(json=json, picture=picture))

    raise typer.Exit(guarded(work))


@app.command(cls=OnceCommand)
def screen(
    path: Annotated[list[Path], typer.Argument(help="Photos, or folders that are looked through with all below them.")],
    card: Annotated[list[str] | None, typer.Option(help="Reference card as in a check; repeatable.")] = None,
    no_head: Annotated[bool, typer.Option("--no-head", help="Nothing closes the openings above.")] = False,
    json: Annotated[str | None, typer.Option(metavar="FILE|-", help="Write all answers as JSON; - for standard output.")] = None,
    csv: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Write one line a photo. u_...: one standard deviation in this photo; better_u_...: planned for a better one.",
        ),
    ] = None,
    messages: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Write what to send back: a text and a drawing for each photo.")
    ] = None,
    state: Annotated[
        str | None,
        typer.Option(metavar="FILE|none", help="Where answers are kept, so that a run that was broken off goes on."),
    ] = None,
    workers: Annotated[int | None, typer.Option(min=1, max=64, help="Processes; one for each core without it.")] = None,
    scheduler: Annotated[
        str | None, typer.Option(metavar="tcp://HOST:PORT", help="Hand the work to a Dask cluster instead.")
    ] = None,
) -> None:
    """Which of these photos are usable, why not, and what to write back. Exit 0: all good; 1: some need a person."""

    def work() -> int:
        from api import screening

        outputs = screening.ScreenOutputs(json=json, csv=csv, messages=messages, state=state)
        return screening.run(path, card or (), outputs, screening.Engine(workers, scheduler), head=not no_head)

    raise typer.Exit(guarded(work, STOPPED if state == "none" else GOES_ON))


@app.command(cls=OnceCommand)
def print_card(
    output: Annotated[Path, typer.Option("--output", "-o", metavar="FILE", help="The PDF to write.")],
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
    sheets: Annotated[
        str, typer.Option(help="large (one frame for beside the opening), four (small ones to put round it) or both.")
    ] = "both",
) -> None:
    """Make the PDF of our own reference card: scale-true, with check bars and instructions."""

    def work() -> int:
        from api import printing

        return printing.run(paper, sheets, output)

    raise typer.Exit(guarded(work))


@app.command(cls=OnceCommand)
def serve(
    host: Annotated[str, typer.Option(help="Address to listen on; 127.0.0.1 is this machine only.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen on.")] = 8000,
) -> None:
    """Serve the HTTP API until stopped; its description is at /docs."""

    def work() -> int:
        import uvicorn

        from api.app import create_app
        from vision.errors import BadInput

        try:
            uvicorn.run(create_app(), host=host, port=port)
        except SystemExit as end:  # how the server says that it could not start
            if end.code:
                raise BadInput(
                    "--host, --port", f"{host}:{port} cannot be listened on", "a free port of this machine", "try another --port"
                ) from None
        return READY

    raise typer.Exit(guarded(work))


def main() -> None:
    """Entry point of the installed command."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app()
    except Exception as error:  # outside a command's body: a defect of this file
        sys.exit(internal(error))


if __name__ == "__main__":
    main()
