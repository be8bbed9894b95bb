module plainleaf

go 1.26.0

ignore ./build/checks/node_modules

require (
	github.com/BurntSushi/toml v1.6.0
	github.com/andybalholm/brotli v1.2.8
	github.com/arran4/golang-ical v0.3.4
	github.com/chromedp/cdproto v0.159.0
	github.com/chromedp/chromedp v0.23.0
	github.com/fzipp/gocyclo v0.6.0
	github.com/gofrs/flock v0.13.2
	github.com/gowebpki/jcs v1.0.1
	github.com/maxence-charriere/go-app/v10 v10.1.11
	github.com/nicksnyder/go-i18n/v2 v2.7.0
	github.com/rickar/cal/v2 v2.1.13
	github.com/rivo/uniseg v0.4.7
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.2
	golang.org/x/crypto v0.59.0
	golang.org/x/net v0.62.0
	golang.org/x/sys v0.50.0
	golang.org/x/term v0.48.0
	golang.org/x/text v0.44.0
	gonum.org/v1/gonum v0.16.0
	rsc.io/qr v0.2.0
)

require (
	github.com/go-json-experiment/json v0.0.0-20260213210345-44df1a37e875 // indirect
	github.com/google/uuid v1.6.0 // indirect
)
