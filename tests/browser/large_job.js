// Packs a job of so many ticks and readings, as technicians leave it; returns the links of its codes.
async ({ steps, readings }) => {
  const { payloadOf, fragmentsOf } = await import("/job/link.js");
  const { codesOf } = await import("/job/codes.js");
  let seed = 18004;
  const chance = (n) => (seed = (seed * 48271) % 2147483647) % n;
  const at = (minutes) => new Date(Date.UTC(2026, 8, 14, 7, 30 + minutes, chance(60))).toISOString();
  const asked = (n) => ({ joint: `joint-${n}`, stage: 1 });
  const page = {
    id: "fit-tf-220",
    steps: Array.from({ length: steps }, (_, n) => ({
      number: n + 1, key: `k${n}`, stages: [], actions: n < readings ? [{ readings: [asked(n)] }] : [],
    })),
  };
  const car = { transmission: "manual", "tow-eye": "absent" };
  const job = {
    procedure: page.id, revision: "C", digest: "0123456789abcdef0123", car,
    begun: at(0), reference: "WO 4711", ticks: {}, readings: {}, remarks: {}, handovers: {}, before: {},
  };
  let minutes = 0;
  page.steps.forEach((step, n) => {
    minutes += chance(9);
    job.ticks[step.key] = at(minutes);
    if (n >= readings) return;
    job.readings[`${step.key}|joint-${n}|1`] = {
      value: `${8 + chance(110)}.${chance(10)}`, unit: "N·m", at: at(minutes),
      wrench: ["click-100", "click-25", "beam-200"][chance(3)], initials: ["ÄB", "JD"][chance(2)],
    };
  });
  const payload = await payloadOf(job, page);
  const address = "https://manual.example/procedures/fit-tf-220.html";
  const versions = codesOf(address, payload).map((code) => code.version);
  const links = fragmentsOf(payload, versions.length).map((fragment) => address + fragment);
  return { versions, links };
}
