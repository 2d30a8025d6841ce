package licences

import (
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

const program = "windtally/cmd/windtally"

type linkedModule struct {
	Path, Version, Dir string
	Main               bool
}

// linked asks the go command which modules end up in the program, on every
// platform that it is built for.
func linked(t *testing.T) map[string]linkedModule {
	t.Helper()
	modules := map[string]linkedModule{}
	for _, platform := range [][2]string{{"linux", "amd64"}, {"darwin", "arm64"}, {"windows", "amd64"}} {
		cmd := exec.Command("go", "list", "-deps", "-json=Module", program)
		cmd.Env = append(os.Environ(), "GOOS="+platform[0], "GOARCH="+platform[1], "CGO_ENABLED=0")
		var stderr strings.Builder
		cmd.Stderr = &stderr
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("go list -deps %s for %s: %v\n%s", program, platform[0], err, &stderr)
		}
		for d := json.NewDecoder(strings.NewReader(string(out))); ; {
			var p struct{ Module *linkedModule }
			if err := d.Decode(&p); err == io.EOF {
				break
			} else if err != nil {
				t.Fatal(err)
			}
			if p.Module != nil && !p.Module.Main {
				modules[p.Module.Path] = *p.Module
			}
		}
	}
	if len(modules) == 0 {
		t.Fatalf("%s has no modules linked in, which cannot be", program)
	}
	return modules
}

// entries splits the text into its entries, each as its lines of "key: value" and
// the rest.
func entries(t *testing.T) []map[string]string {
	t.Helper()
	parts := strings.Split(Text(), "\n"+strings.Repeat("=", 72)+"\n")
	var list []map[string]string
	for _, part := range parts[1:] {
		e := map[string]string{}
		rest := part
		for {
			line, after, ok := strings.Cut(rest, "\n")
			key, value, isPair := strings.Cut(line, ": ")
			if !ok || !isPair {
				break
			}
			e[key], rest = value, after
		}
		e["rest"] = rest
		list = append(list, e)
	}
	return list
}

const mend = "run make licences"

func TestEveryLinkedModuleHasItsLicence(t *testing.T) {
	have := map[string]map[string]string{}
	for _, e := range entries(t) {
		if path := e["module"]; strings.Contains(path, "/") && !strings.Contains(path, " ") {
			have[path] = e
		}
	}
	modules := linked(t)
	for path, m := range modules {
		e, ok := have[path]
		if !ok {
			t.Errorf("%s %s is linked into the program and has no entry in licences.txt: %s", path, m.Version, mend)
			continue
		}
		if e["version"] != m.Version {
			t.Errorf("%s: licences.txt has the licence of %s, the program is built with %s: %s", path, e["version"], m.Version, mend)
			continue
		}
		if e["licence"] == "" {
			t.Errorf("%s: the entry names no licence: %s", path, mend)
		}
		names, err := licenceFiles(m.Dir)
		if err != nil || len(names) == 0 {
			t.Errorf("%s %s: no licence file in the module cache (%v)", path, m.Version, err)
		}
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Errorf("%s: %v", path, err)
				continue
			}
			if !strings.Contains(words(e["rest"]), words(string(data))) {
				t.Errorf("%s %s: the entry does not hold the whole text of its %s: %s", path, m.Version, filepath.Base(name), mend)
			}
		}
	}
	for path, e := range have {
		if _, ok := modules[path]; !ok {
			t.Errorf("%s %s has an entry in licences.txt and is not linked into the program: %s", path, e["version"], mend)
		}
	}
}

// licenceFiles lists the licence and notice at the top of a module.
func licenceFiles(dir string) ([]string, error) {
	list, err := os.ReadDir(dir)
	var names []string
	for _, e := range list {
		upper := strings.ToUpper(e.Name())
		if !e.IsDir() && (strings.HasPrefix(upper, "LICEN") || strings.HasPrefix(upper, "NOTICE")) {
			names = append(names, filepath.Join(dir, e.Name()))
		}
	}
	return names, err
}

func words(text string) string { return strings.Join(strings.Fields(text), " ") }

// What PDFium's WebAssembly is made of can be told from strings inside it.
func TestWhatThePDFReaderCarries(t *testing.T) {
	m, ok := linked(t)["github.com/klippa-app/go-pdfium"]
	if !ok {
		t.Fatal("go-pdfium is not linked into the program, which reads PDF files with it")
	}
	data, err := os.ReadFile(filepath.Join(m.Dir, "internal", "pdfium_wasm", "pdfium.wasm"))
	if err != nil {
		t.Fatal(err)
	}
	wasm, text := string(data), Text()
	for _, c := range []struct{ inside, name, notice string }{
		{"FPDF_LoadDocument", "PDFium", "Copyright 2014 The PDFium Authors"},
		{"Chrome Dingbats", "PDFium substitute fonts (Chrome Sans, Chrome Serif, Chrome Symbol, Chrome Dingbats and others)", "Copyright 2014 PDFium Authors. All rights reserved."},
		{"third_party/abseil-cpp", "Abseil C++", "Copyright 2017 The Abseil Authors"},
		{"FREETYPE_PROPERTIES", "FreeType", "Copyright 1996-2002, 2006 by"},
		{"icudt78", "International Components for Unicode", "UNICODE LICENSE V3"},
		{"cmsWhitePointFromTemp", "Little CMS 2", "Marti Maria Saguer"},
		{"libjpeg-turbo version 3.1.0", "libjpeg-turbo", "This software is based in part on the work of the Independent JPEG Group"},
		{"opj_j2k_read_tlm", "OpenJPEG", "Universite catholique de Louvain (UCL), Belgium"},
		{"invalid distance too far back", "zlib", "Jean-loup Gailly and Mark Adler"},
		{"emscripten_notify_memory_growth", "Emscripten runtime", "Emscripten authors"},
	} {
		if !strings.Contains(wasm, c.inside) {
			t.Errorf("pdfium.wasm no longer contains %q: look at what it carries now, and at carried/ for %s", c.inside, c.name)
		}
		if !strings.Contains(text, "\nname: "+c.name+"\n") || !strings.Contains(text, c.notice) {
			t.Errorf("licences.txt lacks the entry %q with its notice %q: %s", c.name, c.notice, mend)
		}
	}
	// Parts that PDFium can be built with and this one is not.
	for _, part := range []string{"libpng version", "LIBTIFF", "SkCanvas", "v8::internal", "HarfBuzz", "simdutf"} {
		if strings.Contains(wasm, part) {
			t.Errorf("pdfium.wasm contains %q: add an entry to carried/ for that part", part)
		}
	}
}

func TestFontMetricsAndGo(t *testing.T) {
	text := Text()
	for _, want := range []string{
		"\nmodule: Go (runtime and standard library)\n",
		"Copyright 2009 The Go Authors.",
		"\nname: Adobe core font metrics (widths of the fourteen standard fonts)\n",
		"the 14 PostScript(R) AFM files it accompanies",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("licences.txt lacks %q: %s", want, mend)
		}
	}
}
