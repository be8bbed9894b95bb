#!/bin/sh
# Runs every check. Installs what the tests need where it can, and says what is
# missing where it cannot. After one run with a network it needs none.
#
#   build/test.sh         everything
#   build/test.sh quick   less of everything: no browser, no build from nothing, few trials
cd "$(dirname "$0")/.." || exit 2
mode=${1:-all}
mkdir -p build/out

failed=""
took=""
step() { # step NAME COMMAND...
	name=$1
	shift
	echo "== $name"
	begun=$(date +%s)
	"$@" || failed="$failed
  $name"
	took="$took
$(($(date +%s) - begun)) $name"
}

# tested PACKAGES... runs tests and keeps count of the checks against what others published.
counts=build/out/outside.txt
: >$counts
tested() { go test -json "$@" | go run ./build/outside/tally -add $counts; }

missing() { echo "MISSING: $1" >&2; }

# Tools.
command -v go >/dev/null || { missing "go (version 1.26 or later)"; exit 1; }
has_browser() {
	[ -n "$PLAINLEAF_CHROMIUM" ] && return 0
	for b in chromium chromium-browser google-chrome google-chrome-stable chrome; do
		command -v $b >/dev/null && return 0
	done
	return 1
}
# The first font of the sheets that free systems have; page counts are tested with it.
has_liberation() { command -v fc-list >/dev/null && fc-list 2>/dev/null | grep -q "Liberation Sans"; }
has_fonts() { command -v fc-list >/dev/null && fc-list 2>/dev/null | grep -q "Noto Sans Arabic"; }
has_poppler() { command -v pdfinfo >/dev/null && command -v pdftoppm >/dev/null; }
has_openssl() { command -v openssl >/dev/null; }
has_jq() { command -v jq >/dev/null; }
has_xmllint() { command -v xmllint >/dev/null; }
has_xliff() { [ -f /usr/share/php/Symfony/Component/Translation/Resources/schemas/xliff-core-2.0.xsd ]; }
has_zbar() { command -v zbarimg >/dev/null; }
has_firefox() { command -v firefox-esr >/dev/null || command -v firefox >/dev/null; }
has_webkit() { command -v WebKitWebDriver >/dev/null; }
has_java() { command -v java >/dev/null; }
has_xvfb() { command -v Xvfb >/dev/null; }
want=""
has_browser || want="$want chromium"
has_fonts || want="$want fonts-noto-core fontconfig"
has_liberation || want="$want fonts-liberation"
has_poppler || want="$want poppler-utils"
has_zbar || want="$want zbar-tools"
has_openssl || want="$want openssl"
has_jq || want="$want jq"
has_xmllint || want="$want libxml2-utils"
has_xliff || want="$want php-symfony-translation"
has_firefox || want="$want firefox-esr"
has_webkit || want="$want webkit2gtk-driver"
has_xvfb || want="$want xvfb"
has_java || want="$want default-jre-headless"
if [ "$mode" = all ] && [ -n "$want" ]; then
	if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
		echo "== installing$want"
		{ apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $want; } >build/out/apt.log 2>&1 ||
			echo "apt-get failed; see build/out/apt.log" >&2
	fi
	has_browser || missing "a Chromium browser: the browser tests will fail (set PLAINLEAF_CHROMIUM or install chromium)"
	has_fonts || missing "the Noto fonts (fonts-noto-core): pictures of right-to-left text may differ"
	has_liberation || missing "Liberation Sans (fonts-liberation): the tests of printed pages may count more pages"
	has_poppler || missing "pdfinfo and pdftoppm (poppler-utils): the tests of printed pages will fail"
	has_openssl || missing "openssl: the tests of sealed records will fail"
	has_jq || missing "jq: the test of the method that README.md gives will fail"
	has_xmllint || missing "xmllint (libxml2-utils): the tests of translators' files will fail"
	has_xliff || missing "the published schema of XLIFF (php-symfony-translation): the tests of translators' files will fail"
	has_zbar || missing "zbarimg (zbar-tools): the test of the code on paper will fail"
	has_firefox || missing "Firefox (firefox-esr): the browser tests in it will fail"
	has_webkit || missing "WebKitWebDriver (webkit2gtk-driver): the browser tests in WebKit will fail"
	has_java || missing "java (default-jre-headless): the Nu HTML checker's test of the sheets will fail"
	has_xvfb || missing "Xvfb (xvfb): the browser tests in WebKit will fail"
fi
# Packages of another lock file than the present one are taken anew.
if [ ! build/checks/node_modules/.package-lock.json -nt build/checks/package-lock.json ]; then
	if ! command -v npm >/dev/null; then
		missing "npm, for the packages of build/checks"
	elif ! (cd build/checks && npm ci --ignore-scripts --no-audit --no-fund) >build/out/npm.log 2>&1; then
		missing "the npm packages of build/checks (see build/out/npm.log)"
	fi
fi
go mod download >build/out/mod.log 2>&1 || missing "some Go modules (see build/out/mod.log)"

# Packages that drive a browser take turns: two at once starve each other.
turns=$(go list -f '{{.ImportPath}} {{join .TestImports " "}} {{join .XTestImports " "}} ' ./... |
	grep -E '^plainleaf/build/browser | plainleaf/build/browser ' | cut -d' ' -f1)
rest=$(go list -f '{{if or .TestGoFiles .XTestGoFiles}}{{.ImportPath}}{{end}}' ./... | grep -v -x -F "$turns
plainleaf/build/gate")

unformatted=$(gofmt -l app build/*/ content i18n 2>&1 | grep -v node_modules)
step "gofmt" test -z "$unformatted" || true
[ -z "$unformatted" ] || echo "$unformatted"
step "go vet" go vet ./...
step "go vet for the browser" env GOOS=js GOARCH=wasm go vet ./app ./app/page/...
if [ "$mode" = all ]; then
	# No package takes two minutes on two idle cores, so that ten are enough on a busy
	# machine; those that drive a browser have a limit of their own.
	step "tests" tested -timeout 10m $rest
	step "fuzzing, a few seconds" build/fuzz.sh 16s
	# The program is built once, as a release is, and shared by the tests below.
	step "browser program" go run ./build/wasm/program build/out/app.wasm
	PLAINLEAF_WASM=$PWD/build/out/app.wasm
	export PLAINLEAF_WASM
	for p in $turns; do
		step "browser tests, ${p#plainleaf/}" tested -count=1 -timeout 60m $p
	done
	step "browser tests in three engines" npm --prefix build/checks run --silent browser
	step "gate: size, same bytes, import fence, rules on source" go test -count=1 -v -timeout 10m ./build/gate
else
	step "tests" tested -short -timeout 5m $rest
	step "gate without the build from nothing" go test -count=1 -short -v -timeout 5m ./build/gate
fi

echo "== checks against what others published or made"
go run ./build/outside/tally -table $counts

echo "== seconds that each step took"
echo "$took" | awk 'NF { n = $1; $1 = ""; printf "%6d %s\n", n, $0; all += n } END { printf "%6d  all\n", all }'

if [ -n "$failed" ]; then
	echo "FAILED:$failed" >&2
	exit 1
fi
echo "all checks passed"
