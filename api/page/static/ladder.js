// The voltages at which the station's generator starts are those of its cells, 16 LFP in
// series: a bank of other cells has its own, unless the question states them.

// perCell are the voltages of a cell under which the rungs of the station start a set, the
// first held longest: low enough that the bank is far down under a load, above the voltage
// at which the load stops (common practice, no source).
const perCell = { lfp: [3.2, 3.15, 3.1], nmc: [3.5, 3.42, 3.3], lead_acid: [2, 1.98, 1.96] };

// ladder is the station's with the voltages of a module's cells. Where the key of the
// module does not say what these are, it is the station's.
export function ladder(rungs, module) {
  const [, chemistry, inSeries] = /^(lfp|nmc|lead_acid).*?_(\d+)s_/.exec(module?.key ?? '') ?? [];
  const cells = module?.cells_in_series ?? Number(inSeries);
  const volts = perCell[module?.chemistry ?? chemistry];
  if (!volts || !cells) return rungs;
  return rungs.map((rung, i) => ({ ...rung, v: Math.round(10 * cells * volts[Math.min(i, volts.length - 1)]) / 10 }));
}
