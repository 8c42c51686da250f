"""Slices of what the builder entered: head of the job, the file's values, rope, exits, passes."""

from loomwright import VERSION
from loomwright.job import WorkedJob
from loomwright.model.rope import Passes, RopeRun

Plain = dict[str, object]


def job_slice(done: WorkedJob) -> Plain:
    """Return head, areas, looms, throttle and shop of a job, and how far it is."""
    job = done.worked.job
    counts = {
        "devices": len(job.wired),
        "circuits": len(job.circuits),
        "readings": sum(len(run.readings) for run in job.runs),
        "sections": sum(len(tree.sections) for tree in done.worked.routed.trees),
        "wires": len(done.worked.routed.wires),
        "splices": len(done.worked.routed.splices),
        "metres": round(sum(one.cut_mm for one in done.worked.sized.lengths) / 1000, 2),
    }
    return {
        "title": job.title,
        "customer": job.customer,
        "car": job.car,
        "demo": job.demo,
        "volts": job.volts,
        "level": str(job.level),
        "paper": job.paper,
        "revision": job.revision,
        "digest": done.digest,
        "version": VERSION,
        "instrument": job.shop.instrument,
        "throttle": {"linkage": job.throttle.linkage, "clear_mm": job.throttle.clear_mm},
        "areas": [
            {"name": a.name, "air_c": a.air_c, "moves_mm": a.moves_mm, "side": a.side, "splash": a.splash}
            for a in job.areas
        ],
        "looms": [
            {"name": x.name, "words": x.words, "datum": x.datum, "hole_mm": x.hole_mm, "area": x.area}
            for x in job.looms
        ],
        "counts": counts,
    }


def file_slice(done: WorkedJob) -> Plain:
    """Return the values of job.toml as they stand there, and what can't be read of it."""
    document = done.read.document
    problems = [{"line": x.line, "words": x.words, "remedy": x.remedy} for x in document.problems]
    return {"values": document.values, "problems": problems}


def rope_slice(done: WorkedJob) -> list[Plain]:
    """Return the tapes with readings and co-runs, in the order of the file."""
    return [_run(run) for run in done.worked.job.runs]


def _run(run: RopeRun) -> Plain:
    readings = [
        {
            "point": x.point,
            "mm": x.mm,
            "measured_to": x.measured_to,
            "give_mm": x.give_mm,
            "path": list(x.path),
        }
        for x in run.readings
    ]
    partings = [
        {
            "end": x.end,
            "at_mm": x.at_mm,
            "more_mm": x.more_mm,
            "measured_to": x.measured_to,
            "start": x.start,
            "path": list(x.path),
        }
        for x in run.partings
    ]
    return {
        "name": run.name,
        "loom": run.loom,
        "start": run.start,
        "method": run.method,
        "give_mm": run.give_mm,
        "common_mm": run.common_mm,
        "readings": readings,
        "partings": partings,
        "path": list(run.path),
    }


def exits_slice(done: WorkedJob) -> list[Plain]:
    """Return how sections leave points."""
    return [
        {"point": x.point, "to": x.to, "axes": list(x.axes), "lean": x.lean, "path": list(x.path)}
        for x in done.worked.job.exits
    ]


def passes_slice(done: WorkedJob) -> list[Plain]:
    """Return what sections pass."""
    return [_passes(one) for one in done.worked.job.passes]


def _passes(one: Passes) -> Plain:
    near = [
        {
            "kind": str(x.kind),
            "mm": x.mm,
            "at_mm": x.at_mm,
            "over_mm": x.over_mm,
            "shielded_by": x.shielded_by,
            "crosses": x.crosses,
            "above": x.above,
            "temperature_c": x.temperature_c,
            "words": x.words,
        }
        for x in one.near
    ]
    bends = [
        {"at_mm": x.at_mm, "radius_mm": x.radius_mm, "angle_deg": x.angle_deg, "support_mm": x.support_mm}
        for x in one.bends
    ]
    return {
        "section": one.section,
        "path": list(one.path),
        "via": one.via,
        "area": one.area,
        "air_c": one.air_c,
        "near": near,
        "bends": bends,
        "ties": [{"at_mm": x.at_mm, "to": x.to, "what": x.what} for x in one.ties],
        "covering": one.covering,
        "sleeve": one.sleeve,
        "lay": one.lay,
        "measured_od_mm": one.measured_od_mm,
        "loop_mm": one.loop_mm,
        "photo": one.photo,
    }
