// Counts checks. A failure is told at once, in words; the totals close the run in a line that another program can read.

export class Tally {
  passed = 0;
  failed = 0;

  /** One check: `what` says what should be so, `found` what was seen instead. */
  check(holds, what, found = "") {
    if (holds) {
      this.passed += 1;
      return true;
    }
    this.failed += 1;
    const seen = typeof found === "string" ? found : JSON.stringify(found);
    console.log(`  FAILED ${what}${seen ? `\n         found: ${seen.slice(0, 1500)}` : ""}`);
    return false;
  }

  /** A check that a list of faults is empty. */
  none(faults, what) {
    return this.check(faults.length === 0, what, faults.slice(0, 12).join("\n                "));
  }

  /** Prints the totals and sets the exit code. A run that checked nothing has failed. */
  close() {
    if (this.passed + this.failed === 0) this.check(false, "something was checked");
    console.log(`  ${this.passed} passed, ${this.failed} failed`);
    process.exitCode = this.failed === 0 ? 0 : 1;
  }
}

/** Runs `work` and says how long it took. */
export async function timed(name, work) {
  const begun = performance.now();
  const result = await work();
  console.log(`  ${name}: ${((performance.now() - begun) / 1000).toFixed(1)} s`);
  return result;
}
