"""Solves exported models with other people's solvers.

Reads every .mps file of a folder and prints one JSON object per model and solver. MPS files
minimise; the worth printed is the value with its sign turned, as the program states it.
"""

import argparse
import json
import math
import pathlib
import resource
import sys
import time

import highspy
import pyscipopt
from ortools.linear_solver.python import model_builder


STEP = 1e-3


def highs(path, gap, seconds, threads):
    solver = highspy.Highs()
    solver.silent()
    solver.setOptionValue("threads", threads)
    solver.setOptionValue("mip_rel_gap", gap)
    solver.setOptionValue("time_limit", float(seconds))
    solver.readModel(str(path))
    solver.run()
    info = solver.getInfo()
    found = info.primal_solution_status == 2
    return (
        solver.modelStatusToString(solver.getModelStatus()),
        -info.objective_function_value if found else None,
        -info.mip_dual_bound,
    )


def scip(path, gap, seconds, threads):
    # SCIP solves on one thread; its parallel mode is not in the package.
    model = pyscipopt.Model()
    model.hideOutput()
    model.readProblem(str(path))
    model.setParam("limits/gap", gap)
    model.setParam("limits/time", float(seconds))
    model.optimize()
    found = model.getNSols() > 0
    return (
        model.getStatus(),
        -model.getObjVal() if found else None,
        -model.getDualbound(),
    )


def cp_sat(path, gap, seconds, threads):
    # CP-SAT knows whole numbers only and takes what is fractional in small steps, with which few
    # equations hold to the last digit: rows get as much room as the steps need.
    model = model_builder.Model()
    model.import_from_mps_file(str(path))
    for row in model.get_linear_constraints():
        row.lower_bound -= STEP
        row.upper_bound += STEP
    solver = model_builder.Solver("sat")
    solver.set_time_limit_in_seconds(float(seconds))
    solver.set_solver_specific_parameters(
        f"num_workers:{threads} relative_gap_limit:{gap} random_seed:1 "
        "mip_max_bound:1e7 mip_var_scaling:10000 mip_wanted_precision:1e-6"
    )
    status = solver.solve(model)
    found = status in (
        model_builder.SolveStatus.OPTIMAL,
        model_builder.SolveStatus.FEASIBLE,
    )
    return (
        status.name,
        -solver.objective_value if found else None,
        -solver.best_objective_bound if found else None,
    )


def known(value):
    """A number, unless the solver knows none."""
    return value if value is not None and math.isfinite(value) else None


SOLVERS = {"HiGHS": highs, "SCIP": scip, "CP-SAT": cp_sat}


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=pathlib.Path)
    parser.add_argument("--gap", type=float, default=1e-6)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument(
        "--least-seconds", type=float, help="for CP-SAT, which may not get there at all"
    )
    parser.add_argument("--threads", type=int, default=1)
    parser.add_argument("--only", choices=SOLVERS)
    wanted = parser.parse_args()
    for path in sorted(wanted.folder.glob("*.mps")):
        for name, solve in SOLVERS.items():
            if wanted.only not in (None, name):
                continue
            seconds = wanted.seconds
            if name == "CP-SAT" and wanted.least_seconds is not None:
                seconds = wanted.least_seconds
            started = time.perf_counter()
            status, worth, bound = solve(path, wanted.gap, seconds, wanted.threads)
            line = {
                "model": path.stem,
                "solver": name,
                "status": status,
                "worth": known(worth),
                "bound": known(bound),
                "seconds": time.perf_counter() - started,
                "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
            }
            print(json.dumps(line))
            sys.stdout.flush()


if __name__ == "__main__":
    main()
