"""Hears all recordings of a folder that were not heard yet: here one by one, or by Dask.

Only the process that started the run writes results, each under the hash of its recording, once a
worker has given all of it. A worker that dies has therefore written nothing, and what it was at is
given to another; a recording that kills three of them is told and left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.archive.outputs import Outputs, Result
from assistant.archive.rehear import file_hash, rehear
from assistant.archive.way import opened
from assistant.errors import AudioError, BenchcallError, HearingError, UnknownNameError

SOUND = frozenset({".wav", ".flac", ".ogg", ".mp3"})
_AHEAD = 4
"""Recordings given out ahead for each worker, so that none waits and memory stays small."""
_DEATHS = 3


@dataclass(frozen=True, slots=True)
class Heard:
    """``recordings`` are the different ones by their bytes, ``files`` the names they have.
    ``refused`` holds each file that could not be heard, and why."""

    folder: Path
    files: int
    recordings: int
    known: int
    heard: int
    refused: tuple[tuple[str, str], ...]


Progress = Callable[[int, int], None]
"""Called with how many recordings are done, and of how many."""
Outcome = tuple[str, Result | str]
"""A recording's hash, and its result or why there is none."""


def run(
    folder: Path,
    out: Path,
    *,
    profile: str = "robot_mower",
    ears: tuple[str, ...] = (),
    workers: int = 0,
    scheduler: str = "",
    progress: Progress | None = None,
) -> Heard:
    """Hear what was not heard yet. ``workers`` processes of this machine, 0 for one by one in
    this process; ``scheduler`` is the address of a Dask cluster instead, whose workers must see
    the folder under the same path.

    Raises UnknownNameError for a folder without recordings, HearingError when the cluster can't
    be reached, RecordError when results can't be written, and what opening the ears raises.
    """
    _, _, way = opened(profile, ears)
    outputs = Outputs(out, way)
    named, refused = _recordings(folder)
    waiting = {audio: paths[0] for audio, paths in named.items() if not outputs.has(audio)}
    done = len(named) - len(waiting)
    if progress is not None:
        progress(done, len(named))
    jobs = [(str(path), audio, profile, ears, way.id) for audio, path in waiting.items()]
    failed: dict[str, str] = {}
    for audio, result in _outcomes(jobs, workers, scheduler):
        if isinstance(result, str):
            failed[audio] = result
        else:
            outputs.keep(result)
        done += 1
        if progress is not None:
            progress(done, len(named))
    refused += [(str(path), why) for audio, why in failed.items() for path in named[audio]]
    outputs.list_recordings(_listed(folder, named, failed))
    return Heard(
        outputs.folder,
        sum(map(len, named.values())),
        len(named),
        len(named) - len(waiting),
        len(waiting) - len(failed),
        tuple(sorted(refused)),
    )


def _recordings(folder: Path) -> tuple[dict[str, list[Path]], list[tuple[str, str]]]:
    """The files of each recording, by hash, and the files that can't be read."""
    folder = folder.resolve()
    files = sorted(p for p in folder.rglob("*") if p.suffix.lower() in SOUND and p.is_file())
    if not files:
        raise UnknownNameError(
            f"There are no recordings in {folder}. Give the folder that holds them; "
            f"{', '.join(sorted(SOUND))} are heard."
        )
    named: dict[str, list[Path]] = {}
    refused = []
    for path in files:
        try:
            named.setdefault(file_hash(path), []).append(path)
        except AudioError as error:
            refused.append((str(path), str(error)))
    return named, refused


def _listed(folder: Path, named: dict[str, list[Path]], failed: dict[str, str]) -> Iterator[Result]:
    for audio, paths in named.items():
        for path in paths:
            line = {"file": str(path.relative_to(folder.resolve())), "audio": audio}
            yield line | ({"refused": failed[audio]} if audio in failed else {})


def _outcomes(jobs: list[tuple[Any, ...]], workers: int, scheduler: str) -> Iterable[Outcome]:
    if not jobs:
        return ()
    if workers or scheduler:
        return _by_dask(jobs, workers, scheduler)
    return _one_by_one(jobs)


def _one_by_one(jobs: list[tuple[Any, ...]]) -> Iterator[Outcome]:
    for job in jobs:
        try:
            yield job[1], rehear(*job)
        except AudioError as error:
            yield job[1], str(error)


def _by_dask(jobs: list[tuple[Any, ...]], workers: int, scheduler: str) -> Iterator[Outcome]:
    waiting = iter(jobs)
    with _client(workers, scheduler) as client:
        from distributed import as_completed

        running = as_completed(loop=client.loop)

        def give_out() -> None:
            if (job := next(waiting, None)) is not None:
                # The key names the work: given out twice it would still be done once.
                running.add(client.submit(rehear, *job, key=f"rehear-{job[4]}-{job[1]}"))

        for _ in range(_AHEAD * max(1, sum(client.nthreads().values()))):
            give_out()
        for future in running:
            audio = future.key.rpartition("-")[2]
            yield audio, _outcome(future)
            give_out()


def _outcome(future: Any) -> Result | str:
    """Raises HearingError for what stands in the way of all recordings."""
    from distributed.scheduler import KilledWorker

    error = future.exception()
    if error is None:
        result: Result = future.result()
        return result
    if isinstance(error, KilledWorker):
        return f"it ended {_DEATHS} workers; hear it by itself to see why: benchcall hear"
    if isinstance(error, AudioError):
        return str(error)
    if isinstance(error, BenchcallError):
        raise HearingError(f"A worker can't hear: {error}") from error
    raise error


@contextmanager
def _client(workers: int, scheduler: str) -> Iterator[Any]:
    try:
        import dask
        from distributed import Client, LocalCluster
    except ImportError as error:
        raise HearingError(
            "Several workers need Dask: pip install 'benchcall[archive]'. Without it: --workers 0."
        ) from error
    import logging

    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    with dask.config.set({"distributed.scheduler.allowed-failures": _DEATHS - 1}):
        if scheduler:
            try:
                client = Client(scheduler, timeout="20s", set_as_default=False)
            except (OSError, TimeoutError, ValueError) as error:
                raise HearingError(
                    f"No Dask scheduler answers at {scheduler} ({error}). Start one with "
                    "'dask scheduler' and give the address that it prints."
                ) from error
            with client:
                yield client
            return
        # TLS with a certificate of its own: else whoever else is on this machine could give the
        # workers work.
        with (
            LocalCluster(
                n_workers=workers,
                threads_per_worker=1,
                security=True,
                dashboard_address=None,
                silence_logs=logging.CRITICAL,
            ) as cluster,
            Client(cluster, set_as_default=False) as client,
        ):
            yield client
