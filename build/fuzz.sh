#!/bin/sh
# Runs every fuzz target of the repository for a time shared among them.
#
#   build/fuzz.sh 10m
#   build/fuzz.sh 8s
#   build/fuzz.sh 10m whole   and first, at their whole sizes, the tests with a number of trials
cd "$(dirname "$0")/.." || exit 2
time=${1:-10m}
failed=0
if [ "$2" = whole ]; then
	PLAINLEAF_WHOLE=1
	export PLAINLEAF_WHOLE
	tried=$(go list -f '{{.ImportPath}} {{join .TestImports " "}} {{join .XTestImports " "}} ' ./... | grep ' plainleaf/build/trials ' | cut -d' ' -f1)
	echo "== whole sizes of" $tried
	go test -count=1 -timeout 60m $tried || failed=1
	npm --prefix build/checks run --silent browser -- kills.spec.mjs || failed=1
fi
targets=$(grep -rl --include='*_test.go' '^func Fuzz' app content i18n build | while read -r f; do
	sed -n "s#^func \(Fuzz[A-Za-z0-9_]*\)(.*#./$(dirname "$f") \1#p" "$f"
done)
n=$(echo "$targets" | wc -l)
case $time in
*m) each=$((${time%m} * 60 / n)) ;;
*s) each=$((${time%s} / n)) ;;
*) echo "a time such as 10m or 30s" >&2; exit 2 ;;
esac
[ "$each" -ge 1 ] || each=1
said=$(mktemp) || exit 2
trap 'rm -f "$said"' EXIT
fuzz() { # fuzz PACKAGE TARGET
	go test -run '^$' -fuzz "^$2\$" -fuzztime "${each}s" -fuzzminimizetime 10x "$1" >"$said" 2>&1
	code=$?
	cat "$said"
	return $code
}
while read -r pkg target; do
	echo "== $target of $pkg, $each s"
	fuzz "$pkg" "$target" && continue
	# The fuzzer of Go can trip over the end of its own time. That names no input
	# and is tried once more; a fault found does, and is not.
	if grep -q '^ *context deadline exceeded$' "$said" && ! grep -q 'Failing input written' "$said"; then
		echo "== $target once more"
		fuzz "$pkg" "$target" && continue
	fi
	failed=1
done <<LIST
$targets
LIST
exit $failed
