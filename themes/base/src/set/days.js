// Days as pages have them, 2026-11-30: by the clock of this device.

/** @returns {string} */
export function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, "0")).join("-");
}

/** The place of the day that is shown first: that of `now`, else the next one, else none. @param {string[]} days in order @param {string} now */
export function datedFirst(days, now) {
  const place = days.findIndex((day) => day >= now);
  return place < 0 ? null : place;
}

/** The Monday before a day, or the day itself. @param {string} day */
export function mondayOf(day) {
  const date = new Date(`${day}T00:00:00Z`);
  return moved(day, -((date.getUTCDay() + 6) % 7));
}

/** So many days later. @param {string} day @param {number} days */
export function moved(day, days) {
  const date = new Date(`${day}T00:00:00Z`);
  date.setUTCDate(date.getUTCDate() + days);
  return date.toISOString().slice(0, 10);
}
