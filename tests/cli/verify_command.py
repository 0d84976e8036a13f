"""dryfront verify: the table, JSON, a choice of checks, and what it says to a check that does not exist."""
import json
import os
import subprocess


def verify(*arguments):
    return subprocess.run([os.environ["DRYFRONT_BINARY"], "verify", *arguments], stdout=subprocess.PIPE,
                          stderr=subprocess.PIPE, text=True)


done = verify("--quick", "--only", "A1", "--only", "W1", "--json")
assert done.returncode == 0, done.stderr
assert done.stderr == "", done.stderr
report = json.loads(done.stdout)
assert report["passed"] is True
assert [check["check"] for check in report["checks"]] == ["A1", "W1"]
for check in report["checks"]:
    assert check["source"] and check["numbers"]
    for number in check["numbers"]:
        assert number["error"] <= number["allowed"]

done = verify("--quick", "--only", "E1")
assert done.returncode == 0, done.stdout
assert "observed order" in done.stdout and "all passed" in done.stdout, done.stdout

done = verify("--quick", "--only", "A1", "--markdown")
assert done.returncode == 0 and done.stdout.count("| ok |") > 3, done.stdout

done = verify("--only", "E99")
assert done.returncode == 1, done
assert "E99" in done.stderr and "E1" in done.stderr, done.stderr
