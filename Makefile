# make test        everything that a change must pass
# make bench       speed and memory
# make speed       a dense page beside one plain pass of tesseract, with peak memory
# make accuracy    made pages of the held-out half, about 9 minutes
# make fuzz        each fuzz target for FUZZTIME
# make licences    the licences of what is linked in, after a change of go.mod

STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2
FUZZTIME = 30s

.PHONY: test tools variables format vet staticcheck unit cross bench accuracy speed fuzz licences

# Cheap checks first; one after the other, whatever -j says.
test:
	@$(MAKE) --no-print-directory variables
	@$(MAKE) --no-print-directory tools
	@$(MAKE) --no-print-directory format
	@$(MAKE) --no-print-directory vet
	@$(MAKE) --no-print-directory staticcheck
	@$(MAKE) --no-print-directory cross
	@$(MAKE) --no-print-directory unit

variables:
	@env | grep '^WINDTALLY_' | sort || true; \
	for v in WINDTALLY_MATERIAL WINDTALLY_STANDARDS; do \
		eval "value=\$${$$v-}"; \
		[ -n "$$value" ] || echo "$$v is not set: the tests that need it say what they did not run"; \
	done

# General-purpose programs that tests compare with: word boxes (poppler), whole
# PDF files (qpdf), factors (GNU units), print (tesseract; founts for made pages), workbooks (openpyxl), fits (scipy, statsmodels), published data packages (node).
tools:
	@set -eu; missing=""; \
	command -v pdftotext >/dev/null || missing="$$missing poppler-utils"; \
	command -v qpdf >/dev/null || missing="$$missing qpdf"; \
	command -v units >/dev/null || missing="$$missing units"; \
	command -v tesseract >/dev/null || missing="$$missing tesseract-ocr"; \
	for font in century-catalogue oldstandard gnutypewriter courier-prime cmu gfs-didot gfs-didot-classic linuxlibertine urw-base35; do \
		[ -d /usr/share/doc/fonts-$$font ] || missing="$$missing fonts-$$font"; done; \
	command -v python3 >/dev/null || missing="$$missing python3"; \
	python=/usr/bin/python3; [ -x $$python ] || python=python3; \
	$$python -c 'import openpyxl' 2>/dev/null || missing="$$missing python3-openpyxl"; \
	for module in numpy scipy statsmodels; do $$python -c "import $$module" 2>/dev/null || missing="$$missing python3-$$module"; done; \
	command -v node >/dev/null || missing="$$missing nodejs"; \
	command -v npm >/dev/null || missing="$$missing npm"; \
	[ -n "$$missing" ] || exit 0; \
	if ! command -v apt-get >/dev/null; then \
		echo "the tests need these Debian packages or their like, please install them:$$missing" >&2; exit 1; fi; \
	echo "installing what the tests need:$$missing"; \
	sudo=""; if [ "$$(id -u)" != 0 ]; then sudo=sudo; fi; \
	$$sudo apt-get update -qq </dev/null; \
	$$sudo env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $$missing </dev/null

format:
	@echo "gofmt"; unformatted=$$(gofmt -l .); \
	if [ -n "$$unformatted" ]; then echo "not formatted, run gofmt -w:" >&2; echo "$$unformatted" >&2; exit 1; fi

vet:
	go vet ./...

staticcheck:
	go run $(STATICCHECK) ./...

cross:
	GOOS=darwin GOARCH=arm64 CGO_ENABLED=0 go build ./...
	GOOS=windows GOARCH=amd64 CGO_ENABLED=0 go build ./...

unit:
	go test -timeout 20m ./...

bench:
	go test -run '^$$' -bench . -benchmem ./...

speed:
	go run ./extract/scan/speed

accuracy:
	go run ./extract/scan/accuracy -half held-out -v

fuzz:
	@set -eu; found=0; \
	for package in $$(go list ./...); do \
		targets=$$(go test -list '^Fuzz' $$package); \
		for target in $$(echo "$$targets" | grep '^Fuzz' || true); do \
			found=1; echo "$$package $$target"; \
			go test -run '^$$' -fuzz "^$$target\$$" -fuzztime $(FUZZTIME) $$package; \
		done; \
	done; \
	[ $$found = 1 ] || { echo "found no fuzz target" >&2; exit 1; }

licences:
	go generate ./cmd/windtally/licences
