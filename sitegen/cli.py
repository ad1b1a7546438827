"""The command line: arguments, progress and exit codes, and nothing else.

Exit codes: 0 all is well, 1 some content is at fault (each fault is a line on standard error; the rest is built), 2 the
command was used wrongly, 130 it was stopped by Ctrl-C, 143 by SIGTERM.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from sitegen.apart import LEAST_MEMORY, USUAL, Limits
from sitegen.errors import SitegenError, each_fault
from sitegen.showing import as_json_shown, shown, shown_lines
from sitegen.stopping import listening, when_stopped

if TYPE_CHECKING:
    from sitegen.building.progress import Progress
    from sitegen.checking import Finding

_SCORE = click.Path(path_type=Path)
_FOLDER = click.Path(path_type=Path, file_okay=False)


class _Size(click.ParamType):  # type: ignore[type-arg]
    """A number of bytes, such as ``500MB`` or ``4GB``."""

    name = "size"

    def __init__(self, least: int = 0) -> None:
        self._least = least

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        from sitegen.library.sizes import read_size

        try:
            size = read_size(value)
        except ValueError as error:
            self.fail(str(error), param, ctx)
        if size < self._least:
            self.fail(f"'{value}' is less than the program needs for itself, {self._least // 10**6}MB.", param, ctx)
        return size


def _limits(command: Callable[..., None]) -> Callable[..., None]:
    """``command`` with the options that say what work on one piece may take."""
    for option in (
        click.option("--memory", type=_Size(LEAST_MEMORY), default=USUAL.memory, metavar="SIZE",
                     help=f"What a process that works on a piece may take; {USUAL.memory_said} if nothing is said."),
        click.option("--seconds", type=click.FloatRange(0, min_open=True), default=USUAL.seconds,
                     help=f"Processor time that a step of a piece may take; {USUAL.seconds:g} if nothing is said."),
    ):  # fmt: skip
        command = option(command)
    return command


def _workers(command: Callable[..., None]) -> Callable[..., None]:
    """``command`` with the option that says how many processes work."""
    return click.option(
        "-j",
        "--workers",
        type=click.IntRange(0),
        default=None,
        help="Processes to use; as many as there are cores. 0: this one alone, without limits, for looking closely.",
    )(command)


class _Commands(click.Group):
    """Commands whose faults of usage are fit for a terminal, whatever was given."""

    def invoke(self, ctx: click.Context) -> object:
        try:
            return super().invoke(ctx)
        except click.UsageError as error:
            raise click.UsageError(shown_lines(error.format_message()), error.ctx) from error


def _version() -> str:
    try:
        return version("sitegen")
    except PackageNotFoundError:
        return "not installed: run from its folder"


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(_version())
@click.pass_context
def main(ctx: click.Context) -> None:
    """A piano teacher's studio library: scores become ladders of reductions, engraved, heard and published."""
    ctx.with_resource(listening())


@main.command()
@click.argument("name", type=click.Choice(["analysis", "site", "manifest", "bundle"]))
def schema(name: Literal["analysis", "site", "manifest", "bundle"]) -> None:
    """Print the JSON Schema of a file for other programs.

    That is analysis.json, site.json, manifest.json, or the bundle.json of what is handed on.
    """
    from sitegen import sharing
    from sitegen.building.contract import load_schema

    found = sharing.load_schema() if name == "bundle" else load_schema(name)
    click.echo(json.dumps(found, indent=2, ensure_ascii=False))


@main.command()
@click.argument("score", type=_SCORE, required=False)
@click.option("--licence", default=None, help="Under what licence score and words may be used, such as CC0-1.0.")
@click.option("--source", default=None, help="Where the score comes from, and who encoded it.")
@click.option("--name", default="", help="The name of the piece's folder; without it, the title of the score.")
@click.option("--content", type=_FOLDER, default=Path("content"), show_default=True, help="The content folder.")
@_limits
def start(
    score: Path | None,
    licence: str | None,
    source: str | None,
    name: str,
    content: Path,
    seconds: float,
    memory: int,
) -> None:
    """Begin a piece from a SCORE: its folder, its fields, its plan, and notes for its commentary.

    Without SCORE the content folder of a new studio is begun. Nothing that is there is ever written over.
    """
    from sitegen.starting import start_piece, start_studio

    with _faults_end_the_command():
        if score is None:
            made = start_studio(content)
            if not made.files:
                _tell(f"{content / 'studio.yaml'} is there already, and stays as it is", err=False)
        else:
            asks = sys.stdin.isatty()
            if licence is None:
                licence = click.prompt("Licence (empty if you do not know yet)", default="") if asks else ""
            if source is None:
                source = click.prompt("Where the score comes from", default="") if asks else ""
            made = start_piece(score, content, licence, source, name, Limits(seconds, memory))
    for file in made.files:
        _tell(f"wrote {file}", err=False)
    if score is None:
        click.echo("Next: sitegen start SCORE")
    else:
        click.echo("Next: read the draft and write it in your own words; 'sitegen preview' shows it meanwhile")


@main.command()
@click.argument("code")
@click.option("--content", type=_FOLDER, default=Path("content"), show_default=True, help="The content folder.")
def assign(code: str, content: Path) -> None:
    """Begin an assignment for a CODE: a group's or a pupil's, such as blue-3. A published site is public: never a name.

    The first one makes assignments/secret.txt too, from which the addresses of all are made. Keep it with the content
    and show it to nobody. Nothing that is there is ever written over.
    """
    from sitegen.checking.assignments import looks_like_a_name
    from sitegen.starting import start_assignment

    with _faults_end_the_command():
        made = start_assignment(code, content)
    for file in made.files:
        _tell(f"wrote {file}", err=False)
    if looks_like_a_name(code):
        _tell(f"'{code}' looks like a person's name, and a published site is public: give it a code, such as blue-3")
    click.echo("Next: say what is set; 'sitegen build' tells where the page of the week is, which leads to it")


@main.command()
@click.argument("content", type=_FOLDER, default=Path("content"))
@click.option("-o", "--output", type=_FOLDER, default=Path("output"), show_default=True, help="Where the site goes.")
@_workers
@click.option("--fresh", is_flag=True, help="Make everything anew, also what has not changed, and mend what is kept.")
@click.option("--keep", type=_Size(), default=None, metavar="SIZE",
              help="What may be kept for the next build, such as 500MB or 4GB; without it what studio.yaml says with "
              "'keep:', else 2GB.")  # fmt: skip
@click.option("--explain", is_flag=True, help="Say for each thing that is made why: what it is made from that changed.")
@click.option("--allow-removal", is_flag=True, help="Publish also where more than half of the site's pieces are gone.")
@click.option("--cluster", default="", metavar="ADDRESS",
              help="Build on the Dask cluster whose scheduler is there; its workers must see the store.")  # fmt: skip
@_limits
def build(
    content: Path,
    output: Path,
    workers: int | None,
    fresh: bool,
    keep: int | None,
    explain: bool,
    allow_removal: bool,
    cluster: str,
    seconds: float,
    memory: int,
) -> None:
    """Build the site of the folder CONTENT."""
    from sitegen.building.site import build_site
    from sitegen.building.store import open_store

    def reference() -> str:
        from sitegen.reference import reference_page

        return reference_page(main)

    stood = _number_of_current_folder()
    with _faults_end_the_command(), _progress("Building") as progress:
        outcome = build_site(
            content,
            output,
            open_store(fresh),
            _processes(workers),
            progress,
            reference,
            largest=keep,
            explain=(lambda line: _tell(line, err=False)) if explain else None,
            allow_removal=allow_removal,
            say=_tell,
            cluster=cluster,
            limits=Limits(seconds, memory),
        )
    for finding in outcome.findings:
        _tell(str(finding))
    for slug in outcome.kept:
        _tell(f"{slug}: its last good pages were kept, marked as not up to date")
    _tell(f"{_count(len(outcome.built), 'piece')} built into {output}, {_tally(outcome.findings)}", err=False)
    if outcome.week:
        _tell(
            f"The page of the week, listed nowhere, which leads to all that is set: {output / outcome.week}", err=False
        )
    if _number_of_current_folder() != stood:
        _tell('The folder you were in has given its place to that of the new site. Go there anew: cd "$PWD"')
    sys.exit(1 if _errors(outcome.findings) else 0)


@main.command()
@click.argument("content", type=_FOLDER, default=Path("content"))
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="A line for each finding, or all of them as JSON for programs.")  # fmt: skip
@_workers
@_limits
def check(content: Path, form: str, workers: int | None, seconds: float, memory: int) -> None:
    """Check the folder CONTENT without building: fields, scores, adjustments, ladders, links."""
    from sitegen.building.site import check_site
    from sitegen.building.store import open_store

    with _faults_end_the_command(), _progress("Checking") as progress:
        report = check_site(content, open_store(), progress, _processes(workers), Limits(seconds, memory))
    if form == "json":
        found = {"pieces": report.pieces, "findings": [finding.as_data() for finding in report.findings]}
        click.echo(as_json_shown(json.dumps(found, ensure_ascii=False, indent=1)))
    else:
        for finding in report.findings:
            _tell(str(finding), err=finding.severity == "error")
        _tell(f"{_count(report.pieces, 'piece')} checked, {_tally(report.findings)}", err=False)
    sys.exit(1 if _errors(report.findings) else 0)


@main.command()
@click.argument("content", type=_FOLDER, default=Path("content"))
@click.option("-p", "--port", type=click.IntRange(0, 65535), default=8010, show_default=True,
              help="The port to serve on; the next free one where it is taken.")  # fmt: skip
@click.option("--network", is_flag=True,
              help="Let the phones of this network see it, at a lesson at home; shows a code for them.")  # fmt: skip
@_limits
def preview(content: Path, port: int, network: bool, seconds: float, memory: int) -> None:
    """Show the site of the folder CONTENT in a browser of this machine while it is written.

    What changes is made again when a file is saved, and the page follows at the same bar. A fault is told on the page
    and here, and the last good page stays. Ends with Ctrl-C. Nothing is written into the content or into output/.
    """
    import shutil
    import tempfile

    from sitegen.building.store import open_store
    from sitegen.previewing import run_preview
    from sitegen.reference import reference_page

    with _faults_end_the_command(), tempfile.TemporaryDirectory(prefix="sitegen-preview-") as made:
        folder, limits = Path(made), Limits(seconds, memory)
        with when_stopped(lambda: shutil.rmtree(folder, ignore_errors=True)):
            run_preview(
                content,
                folder,
                open_store(),
                port,
                reference_page(main),
                _tell,
                limits,
                click.echo if network else None,
            )


@main.command()
@click.argument("score", type=_SCORE, required=False)
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text", show_default=True,
              help="Text for a musician, or JSON by the contract.")  # fmt: skip
@click.option("--bars", default="", help="Only these bars, each note with its reason: --bars 5-8.")
@click.option("--list", "listed", type=click.Choice(["techniques", "ladders", "textures", "functions", "sentences"]),
              default=None,
              help="Tell what can be named in piece.md, or the sentences that words/ may say otherwise.")  # fmt: skip
@_limits
def analyse(score: Path | None, form: str, bars: str, listed: str | None, seconds: float, memory: int) -> None:
    """Say what is understood of a SCORE, or of the folder of a piece with its adjustments in force.

    Harmonies, foreign notes, textures, phrases and tension bar by bar, and the ladder with its hands.
    """
    if listed is not None:
        from sitegen.reference import named_things

        click.echo("\n".join(f"{name}: {meaning}" if meaning else name for name, meaning in named_things(listed)))
        return
    if score is None:
        raise click.UsageError("Name a score, or the folder of a piece.")
    from sitegen.building.answering import ask
    from sitegen.building.store import open_store

    with _faults_end_the_command():
        answer = ask(score, form, bars, open_store().folder.resolve(), Limits(seconds, memory))
        for finding in answer.findings:
            _tell(str(finding))
        if answer.words is not None:
            words = as_json_shown(answer.words) if form == "json" else shown_lines(answer.words)
            click.echo(words, nl=False)
        if answer.words is None or _errors(answer.findings):
            sys.exit(1)


@main.command()
@click.argument("piece", type=_FOLDER)
@click.option("-o", "--output", type=_SCORE, default=None, metavar="FILE",
              help="The bundle; without it a file named after the piece, here.")  # fmt: skip
@_limits
def pack(piece: Path, output: Path | None, seconds: float, memory: int) -> None:
    """Make a bundle of a PIECE, to hand on: one file with its score, words, pictures, adjustments and own stages.

    PIECE is the folder of the piece, or its name in content/.
    """
    from sitegen.sharing import pack_piece

    with _faults_end_the_command():
        packed = pack_piece(piece if piece.exists() else Path("content") / piece, output, Limits(seconds, memory))
    manifest = packed.manifest
    _tell(f"wrote {packed.file}: {manifest.name}, {_count(len(manifest.files), 'file')}", err=False)
    _tell(f"version {len(manifest.history)}, SHA-256 {manifest.digest}", err=False)


@main.command()
@click.argument("file", type=_SCORE)
@click.option("--content", type=_FOLDER, default=Path("content"), show_default=True, help="The content folder.")
@click.option("--name", default="", help="The name of the piece's folder; without it, the one that it had.")
@_limits
def unpack(file: Path, content: Path, name: str, seconds: float, memory: int) -> None:
    """Bring the bundle FILE into the content folder as a piece.

    Nothing that is there is ever written over, and nothing is written until all of the bundle has been checked. Where
    an older version of the same piece is there, what its teacher changed is kept, and the differences are shown.
    """
    from sitegen.sharing.telling import lines_of
    from sitegen.sharing.unpacking import NameTakenError, unpack_bundle

    with _faults_end_the_command():
        while True:
            try:
                unpacked = unpack_bundle(file, content, name, Limits(seconds, memory))
                break
            except NameTakenError as error:
                if not sys.stdin.isatty():
                    raise
                _tell(str(error))
                name = click.prompt("Another name")
    for line in lines_of(unpacked):
        _tell(line, err=False)


def _tell(text: str, err: bool = True) -> None:
    """Print a line that is fit for a terminal, on standard error or standard output."""
    click.echo(shown(text), err=err)


def _number_of_current_folder() -> int:
    """What tells the current folder from one that has taken its place; 0 where it has none any more."""
    try:
        return os.stat(os.curdir).st_ino if os.getcwd() else 0
    except OSError:
        return 0


def _processes(workers: int | None) -> int:
    """How many processes are to work; as many as there are cores where nothing is said."""
    return os.cpu_count() or 1 if workers is None else workers


@contextmanager
def _faults_end_the_command() -> Iterator[None]:
    """A fault that stops everything is one line and exit code 1."""
    try:
        yield
    except SitegenError as error:
        for fault in each_fault(error):
            _tell(str(fault))
        sys.exit(1)
    except BrokenPipeError:
        sys.exit(0)
    except OSError as error:
        _tell(f"{error.filename or 'The file system'}: {error.strerror or error}. Check the place and its rights.")
        sys.exit(1)
    except Exception as error:
        if os.environ.get("SITEGEN_DEBUG"):
            raise
        reason = " ".join(f"{type(error).__name__}: {error}".split())
        _tell(f"sitegen itself is at fault ({reason}). Set SITEGEN_DEBUG=1 to see where, and report it.")
        sys.exit(1)


@contextmanager
def _progress(what: str) -> Iterator[Callable[[Progress], None]]:
    """On a terminal a bar with what is being made, how many pieces remain and for how long; elsewhere a line for each
    piece that is done. Both on standard error."""
    if not sys.stderr.isatty():

        def tell(now: Progress) -> None:
            if now.ended:
                _tell(f"{what} {now.done}/{now.total} {now.ended}{_left(now)}")

        yield tell
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
    from rich.progress import Progress as Bar

    console = Console(stderr=True)
    told = TextColumn("{task.fields[now]}", markup=False)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), told)
    with Bar(*columns, console=console, transient=True) as bar:
        task = bar.add_task(what, total=None, now="")
        yield lambda now: bar.update(task, completed=now.done, total=now.total, now=shown(f"{now.now}{_left(now)}"))


def _left(now: Progress) -> str:
    """``, some 3 minutes left``; nothing where it is not known, or hardly any."""
    if now.left is None or now.left < 1:
        return ""
    minutes = round(now.left / 60)
    return f", some {_count(minutes, 'minute') if minutes else _count(round(now.left), 'second')} left"


def _errors(findings: Sequence[Finding]) -> int:
    return sum(finding.severity == "error" for finding in findings)


def _tally(findings: Sequence[Finding]) -> str:
    """``2 faults``, and the warnings where there are any."""
    faults, warnings = _errors(findings), len(findings) - _errors(findings)
    told = _count(faults, "fault")
    return f"{told}, {_count(warnings, 'warning')}" if warnings else told


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
