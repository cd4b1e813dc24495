// The hourly columns that the page draws, as the service tells them.

export const mainColumns = 'soc_fraction,downtime_fraction,downtime_cause';
export const moreColumns = 'bank_c,bank_a,bank_v,charge_ceiling_a';

// readHours gives the columns names, and the shape of the year: intervals of a
// day, days, and the month that a day is in.
export function readHours(hours, year) {
  const column = (name) => hours.columns.find((c) => c.name === name).values;
  const soc = column('soc_fraction');
  const days = (Date.UTC(year + 1, 0, 1) - Date.UTC(year, 0, 1)) / 864e5;
  return {
    soc, downtime: column('downtime_fraction'), cause: column('downtime_cause'), days, perDay: soc.length / days,
    monthOf: Array.from({ length: days }, (_, d) => new Date(Date.UTC(year, 0, 1 + d)).getUTCMonth()),
  };
}
