// Reads a calendar on standard input with ical.js and tells what it found, for tests.
import { readFileSync } from "node:fs";
import ICAL from "ical.js";

const root = new ICAL.Component(ICAL.parse(readFileSync(0, "utf8")));
// The zones are those the file brings along.
for (const z of root.getAllSubcomponents("vtimezone")) ICAL.TimezoneService.register(new ICAL.Timezone(z));
const value = (c, name) => c.getFirstPropertyValue(name);
const events = root.getAllSubcomponents("vevent").map((c) => {
	const e = new ICAL.Event(c);
	return {
		id: e.uid,
		summary: e.summary,
		description: e.description,
		start: e.startDate.toString(),
		end: e.endDate.toString(),
		utc: e.startDate.isDate || e.startDate.zone === ICAL.Timezone.localTimezone ? "" : e.startDate.convertToZone(ICAL.Timezone.utcTimezone).toString(),
		minutes: e.startDate.isDate ? 0 : e.duration.toSeconds() / 60,
		allDay: e.startDate.isDate && e.endDate.isDate,
		days: e.duration.toSeconds() / 86400,
		lang: c.getFirstProperty("summary").getParameter("language"),
		sequence: e.sequence,
		stamp: value(c, "dtstamp").toString(),
		class: value(c, "class"),
		status: value(c, "status"),
		alarms: c.getAllSubcomponents("valarm").map((a) => {
			const at = e.startDate.clone();
			at.isDate = false;
			at.addDuration(value(a, "trigger"));
			return at.toString();
		}),
	};
});
process.stdout.write(JSON.stringify({ name: value(root, "name"), color: value(root, "color"), events }));
