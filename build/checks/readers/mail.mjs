// Reads a mail on standard input with postal-mime and tells what it found, for tests.
import { readFileSync } from "node:fs";
import PostalMime from "postal-mime";

const m = await PostalMime.parse(readFileSync(0));
process.stdout.write(JSON.stringify({
	subject: m.subject,
	from: m.from ?? null,
	to: m.to ?? [],
	date: m.date,
	id: m.messageId,
	headers: m.headers.map((h) => h.key),
	text: m.text,
	html: m.html,
	files: m.attachments.map((a) => ({
		name: a.filename,
		type: a.mimeType,
		disposition: a.disposition,
		data: Buffer.from(a.content).toString("base64"),
	})),
}));
