# Everything is built from here; results go to build/out only.
PORT ?= 8080
ADDR = 127.0.0.1:$(PORT)
SITE = build/out/site

FUZZTIME ?= 10m

.PHONY: run site test quick golden bench fuzz check shots

# Builds everything and serves it on this machine; the last line says which address
# to open. Brotli 9 packs a little
# less than a release does, in a tenth of the time.
run:
	go run ./app site -brotli 9 -plain-on-failure -out $(SITE)
	go run ./app serve -addr $(ADDR) -dir $(SITE)

site:
	go run ./app site -out $(SITE)

test:
	build/test.sh

# Without what needs a browser or compiles everything from nothing, and with few
# trials of what is tried again and again.
quick:
	build/test.sh quick

# Writes the golden files anew; look at the difference before committing it.
golden:
	PLAINLEAF_GOLDEN=write go test -count=1 -run Golden ./app/... ./build/... ./content/... ./i18n/...

# Ratios, since no machine is like another: the plan beside writing it as JSON,
# its growth with the teeth, and in the browser beside an empty screen's update.
bench:
	go test -count=1 -run '^TestRatios' -v ./build/bench -args -bench
	go test -run '^$$' -bench . -benchmem ./app/... ./content/... ./i18n/...
	PLAINLEAF_SPEED=1 go test -count=1 -run '^TestClickSpeed$$' -v ./build/e2e

# Batches, kills and random cases at their whole sizes, then every fuzz target in
# turn; what breaks one is kept in its package's testdata/fuzz.
fuzz:
	build/fuzz.sh $(FUZZTIME) whole

# Pictures of every screen and of the states they can be in, in each direction of
# writing and with long words, on tablet, phone and desktop, with pages that show
# them in build/out/shots: index.html, and states-en.html for each language.
shots:
	PLAINLEAF_PICTURES=$(CURDIR)/build/out/shots go test -count=1 -timeout 40m -run '^Test(States|Pictures)' ./build/e2e

check:
	go run ./app check
