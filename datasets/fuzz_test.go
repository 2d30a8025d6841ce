package datasets

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// Whatever the bytes, decode either says what is wrong or has read exactly what
// encode would write; and no cell that is accepted changes on its way through a
// record.
func FuzzDecode(f *testing.F) {
	seeds, err := filepath.Glob(filepath.Join("testdata", "2.0.0", "data", "*.csv"))
	if err != nil || len(seeds) != 15 {
		f.Fatalf("%d seeds, %v", len(seeds), err)
	}
	for _, name := range seeds {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	head := "check,name,value,reason\n"
	for _, text := range []string{"", "\n", "\ufeff" + head, head + "a,b,1e5,c\n", head + "a,b,0.10,\"c,d\"\n", head + "a,b,\"1\n", head + "\"a\",b,1,c\r\n", head + "a,b,1\n", "\xff\n"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		for _, r := range resources() {
			rows, problems := r.decode(data)
			if len(problems) > 0 {
				for _, p := range problems {
					if p.File != r.path || p.Row < 1 || p.Message == "" {
						t.Errorf("%+v says too little", p)
					}
				}
				continue
			}
			if !bytes.Equal(r.encode(rows), data) {
				t.Errorf("%s: %q was read without a problem and is written otherwise", r.name, data)
			}
			sound := true
			for _, row := range rows {
				for j := range r.columns {
					sound = sound && r.columns[j].wrong(row[j]) == ""
				}
			}
			if !sound {
				continue
			}
			var e Edition
			r.fill(&e, rows)
			if !bytes.Equal(r.encode(r.rows(&e)), data) {
				t.Errorf("%s: %q changes on its way through a record", r.name, data)
			}
		}
	})
}

// A Number that is accepted is the same after JSON, and is a finite float64.
func FuzzNumber(f *testing.F) {
	for _, text := range []string{"", "0", "0.30", "-12.5", "1e5", "NaN", "-0", "+1", ".5", "5.", "1_0", "0x10", "null"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n := Number(text)
		if n.Valid() != nil {
			return
		}
		b, err := n.MarshalJSON()
		if err != nil {
			t.Fatal(err)
		}
		var back Number
		if err := back.UnmarshalJSON(b); err != nil || back != n {
			t.Errorf("%q became %q, %v", n, back, err)
		}
		if _, ok := n.Float64(); ok != (n != "") {
			t.Errorf("%q has no float64", n)
		}
	})
}
