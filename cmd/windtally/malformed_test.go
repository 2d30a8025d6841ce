package main

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What extract says of pages that have no words.
const (
	bare = "page 1: not read, neither a word nor an image that could be read; look at the print\n"
)

// either is for files whose damage lies in the text: what is left of it may be a
// table or not.
const either = -1

// malformedFiles lists every file of the collection with what cite, or else
// extract, says of it: the collection's own table says what must
// happen. What is read may hold a table or none; the six words of the small made
// files are none.
var malformedFiles = []struct {
	file   string
	cite   string // cite refuses it, and the message after the file's name
	read   string // extract refuses it, and the message after the file's name
	says   string // what extract says besides
	tables int
}{
	{file: "bad_xref.pdf"},
	{file: "base14_courier.pdf", tables: 1},
	{file: "base14_times.pdf", tables: 1},
	{file: "dict_baseenc.pdf"},
	{file: "enc_aes256_ownerpw.pdf", tables: 1},
	{file: "enc_rc4_40_ownerpw.pdf", tables: 1},
	{file: "enc_rc4_userpw.pdf", cite: "this PDF needs a password"},
	{file: "flate_bomb.pdf", read: "p1: needs more than 500 MB of memory to read, which is the limit: it is damaged or made to do harm"},
	{file: "formxobj.pdf", tables: 1},
	{file: "groff_tbl.pdf"},
	{file: "hdr_space.pdf"},
	{file: "hexfilter.pdf"},
	{file: "huge_count.pdf", cite: "the file says that it has 2000000000 pages, and 1 can be found; the limit is 20000"},
	{file: "huge_mediabox.pdf", read: "p1: the page is 200000 x 200000 points; the limit is 14400 x 14400"},
	{file: "inline_img.pdf"},
	{file: "junk_before_header.pdf"},
	{file: "len_self.pdf"},
	{file: "lzw.pdf"},
	{file: "m011_bits_ok_raw.pdf", cite: "the file is damaged: it has no page that can be found"},
	{file: "m033_bytes_groff_tbl.pdf", tables: either},
	{file: "m048_bits_base14_courier.pdf", tables: either},
	{file: "m060_bytes_base14_courier.pdf", tables: either},
	{file: "m073_bits_gs_ttf.pdf", tables: either},
	{file: "m135_num_ttf_subset.pdf", tables: either},
	{file: "m147_bytes_ttf_subset.pdf", says: bare},
	{file: "m159_bytes_ttf_subset.pdf", tables: either},
	{file: "m165_bytes_groff_tbl.pdf", says: bare},
	{file: "m276_bytes_base14_courier.pdf", tables: either},
	{file: "m391_bytes_linearized.pdf", says: bare},
	{file: "mediabox_offset.pdf"},
	{file: "no_widths_base14.pdf"},
	{file: "objstm.pdf", tables: 1},
	{file: "parent_loop.pdf", read: "p1: the page cannot be found in the file, or is damaged"},
	{file: "pdf20_header.pdf"},
	{file: "prev_loop.pdf"},
	{file: "q_underflow.pdf"},
	{file: "res_parent_loop.pdf"},
	{file: "rot90.pdf", tables: 1},
	{file: "rottext.pdf", tables: 1},
	{file: "scan_ccitt.pdf", tables: 1},
	{file: "scan_jbig2.pdf", tables: 1},
	{file: "trailing_junk.pdf"},
	{file: "tw_spacing.pdf", tables: 1},
	{file: "two_streams_split.pdf"},
	{file: "xref_hugesize.pdf", cite: "the file is damaged: it has no page that can be found"},
	{file: "zipbomb.xlsx", cite: "part xl/worksheets/sheet1.xml would unpack to 3072 MiB; the limit is 16 MiB"},
}

func TestMalformedFiles(t *testing.T) {
	root := os.Getenv("WINDTALLY_MATERIAL")
	if root == "" {
		t.Skipf("NOT RUN: %d malformed files through cite and extract; WINDTALLY_MATERIAL is not set", len(malformedFiles))
	}
	listed, err := filepath.Glob(filepath.Join(root, "malformed", "*"))
	if err != nil || len(listed) != len(malformedFiles) {
		t.Errorf("%d files, %d cases, %v: want a case for every file", len(listed), len(malformedFiles), err)
	}
	for _, c := range malformedFiles {
		t.Run(c.file, func(t *testing.T) {
			study := newStudy(t)
			file := filepath.Join(root, "malformed", c.file)
			name := strings.ReplaceAll(strings.TrimSuffix(c.file, filepath.Ext(c.file)), "_", "-")
			copied := "sources/" + name + filepath.Ext(c.file)
			code, out, errs := windtally(t, study, "cite", file, "--designation", name, "--title", "Made by program", "--year", "2025", "--rights", "made by program")
			if c.cite != "" {
				refused(t, code, out, errs, file+": "+c.cite)
				if _, err := os.Stat(filepath.Join(study, copied)); !errors.Is(err, fs.ErrNotExist) {
					t.Errorf("%s was refused and is in the study: %v", c.file, err)
				}
				return
			}
			if code != exitDone || errs != "" {
				t.Fatalf("cite: exit %d\n%s", code, errs)
			}
			code, out, errs = windtally(t, study, "extract", "--json", name)
			if c.read != "" {
				if c.file == "flate_bomb.pdf" && code == exitFailed && strings.Contains(errs, copied+": took longer than 10s and was stopped") {
					return // a slow machine meets the other limit first
				}
				refused(t, code, out, errs, copied+":"+c.read)
				return
			}
			if c.tables == either {
				// What the damage left of captions, and how many glyphs without meaning, is no
				// matter here.
				errs = regexp.MustCompile(`(?m)^page 1: ".*" is announced and no table was seen under it; give it a region by hand, or key it\n`).ReplaceAllString(errs, "")
				errs = regexp.MustCompile(`(?m)^page 1: the file gives no meaning to the glyphs of \d+ words? \(\x{FFFD}\); key the tables that hold them\n`).ReplaceAllString(errs, "")
			}
			var tables []seen
			if err := json.Unmarshal([]byte(out), &tables); code != exitDone || errs != c.says || err != nil {
				t.Fatalf("extract: exit %d, %v, stderr %q, want %q\n%s", code, err, errs, c.says, out)
			}
			if len(tables) != c.tables && c.tables != either {
				t.Errorf("%d tables seen, want %d\n%s", len(tables), c.tables, out)
			}
			drafts, err := filepath.Glob(filepath.Join(study, "tables", "*.yaml"))
			if err != nil || len(drafts) != len(tables) {
				t.Errorf("%d drafts of %d tables, %v", len(drafts), len(tables), err)
			}
		})
	}
}

// refused wants code 1, nothing on stdout, and a reason of one line, with or without a hint.
func refused(t *testing.T, code int, out, errs, want string) {
	t.Helper()
	reason, hint, _ := strings.Cut(errs, "\n")
	if code != exitFailed || out != "" || reason != "windtally: "+want {
		t.Errorf("exit %d, stdout %q, stderr\n%s\nwant exit %d and\nwindtally: %s", code, out, errs, exitFailed, want)
	}
	if hint = strings.TrimSpace(hint); hint != "" && (!strings.HasPrefix(hint, "hint: ") || strings.Contains(hint, "\n")) {
		t.Errorf("below the reason stands %q, want a hint or nothing", hint)
	}
}
