package email

import (
	"fmt"
	"strings"

	"plainleaf/app/fault"
	"plainleaf/app/safetext"
)

// MailtoLimit is the longest address that mail programs take; some stop at
// about 2,000 characters.
const MailtoLimit = 1800

// Mailto gives a mailto address (RFC 6068) for a short message without
// attachments. Recipient and body may be empty. A body that would make the
// address too long is left out whole, never cut.
//
// Codes: MAIL-HEADER, MAIL-ADDRESS, MAIL-TEXT as for Write; MAIL-LONG the
// subject alone is too long.
func Mailto(to, subject, body string) (string, fault.List) {
	var faults fault.List
	address(&faults, "to", to)
	header(&faults, "subject", subject)
	if !safetext.Body.Fits(body) {
		faults.Add("MAIL-TEXT", "body", "the text holds a control character or is not UTF-8")
	}
	if len(faults) > 0 {
		return "", faults
	}
	s := "mailto:" + strings.ReplaceAll(percent(to), "%40", "@") + "?subject=" + percent(subject)
	if len(s) > MailtoLimit {
		faults.Add("MAIL-LONG", "subject", "the subject does not fit into an address of %d characters", MailtoLimit)
		return "", faults
	}
	if rest := "&body=" + percent(strings.ReplaceAll(body, "\n", crlf)); body != "" && len(s)+len(rest) <= MailtoLimit {
		s += rest
	}
	return s, nil
}

// percent escapes all but the unreserved characters (RFC 3986, section 2.3).
func percent(s string) string {
	var b strings.Builder
	for _, c := range []byte(s) {
		if strings.IndexByte(alphanumeric+"-._~", c) >= 0 {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	return b.String()
}
