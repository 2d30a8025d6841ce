package pdf

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"windtally/extract"
)

// The six words of the small made files, as their content streams state them.
var six = []string{"1.25", "0.3456", "-0.012", "2.50", "0.4567", "-0.013"}

// malformed lists every file of the collection with what must happen. Word
// counts are those of poppler's pdftotext, but for m060, m073 and m159, where the
// damage lies in the text and the two libraries salvage different parts.
var malformed = []struct {
	file   string
	words  int      // where the file is read
	texts  []string // and all of them, where they are few
	images int
	error  string // where it is refused
	or     string // the other way in which it may be, on a slow machine
}{
	{file: "base14_courier.pdf", words: 190},
	{file: "base14_times.pdf", words: 190},
	{file: "no_widths_base14.pdf", words: 6},
	{file: "objstm.pdf", words: 190},
	{file: "tw_spacing.pdf", words: 70},
	{file: "dict_baseenc.pdf", words: 2},
	{file: "groff_tbl.pdf", words: 9},

	{file: "formxobj.pdf", words: 184},
	{file: "inline_img.pdf", words: 6, texts: six, images: 1},
	{file: "len_self.pdf", words: 6, texts: six},
	{file: "lzw.pdf", words: 6, texts: six},
	{file: "hexfilter.pdf", words: 6, texts: six},
	{file: "q_underflow.pdf", words: 6, texts: six},
	{file: "two_streams_split.pdf", words: 2},

	{file: "bad_xref.pdf", words: 6, texts: six},
	{file: "junk_before_header.pdf", words: 6, texts: six},
	{file: "hdr_space.pdf", words: 6, texts: six},
	{file: "pdf20_header.pdf", words: 6, texts: six},
	{file: "trailing_junk.pdf", words: 6, texts: six},

	{file: "enc_aes256_ownerpw.pdf", words: 190},
	{file: "enc_rc4_40_ownerpw.pdf", words: 190},
	{file: "enc_rc4_userpw.pdf", error: "enc_rc4_userpw.pdf: this PDF needs a password"},

	{file: "prev_loop.pdf", words: 6, texts: six},
	{file: "res_parent_loop.pdf", words: 6},
	{file: "parent_loop.pdf", error: "parent_loop.pdf:p1: the page cannot be found in the file, or is damaged"},

	{file: "xref_hugesize.pdf", error: "xref_hugesize.pdf: the file is damaged: it has no page that can be found"},
	{file: "huge_count.pdf", error: "huge_count.pdf: the file says that it has 2000000000 pages, and 1 can be found; the limit is 20000"},
	{file: "huge_mediabox.pdf", error: "huge_mediabox.pdf:p1: the page is 200000 x 200000 points; the limit is 14400 x 14400"},
	{file: "flate_bomb.pdf", error: "flate_bomb.pdf:p1: needs more than 500 MB of memory to read, which is the limit",
		or: "flate_bomb.pdf: took longer than 10s and was stopped"},
	{file: "zipbomb.xlsx", error: "zipbomb.xlsx: this is not a PDF"},

	{file: "rot90.pdf", words: 133},
	{file: "mediabox_offset.pdf", words: 6, texts: six},
	{file: "rottext.pdf", words: 182},

	{file: "scan_ccitt.pdf", images: 1},
	{file: "scan_jbig2.pdf", images: 1},

	{file: "m011_bits_ok_raw.pdf", error: "m011_bits_ok_raw.pdf: the file is damaged: it has no page that can be found"},
	{file: "m033_bytes_groff_tbl.pdf", words: 9},
	{file: "m048_bits_base14_courier.pdf", words: 8},
	{file: "m060_bytes_base14_courier.pdf", words: 162},
	{file: "m073_bits_gs_ttf.pdf", words: 193},
	{file: "m135_num_ttf_subset.pdf", words: 147},
	{file: "m147_bytes_ttf_subset.pdf"},
	{file: "m159_bytes_ttf_subset.pdf", words: 33},
	{file: "m165_bytes_groff_tbl.pdf"},
	{file: "m276_bytes_base14_courier.pdf", words: 17},
	{file: "m391_bytes_linearized.pdf"},
}

func TestMalformed(t *testing.T) {
	at := material(t, len(malformed), "malformed files")
	listed, err := filepath.Glob(at("malformed") + "/*")
	if err != nil || len(listed) != len(malformed) {
		t.Errorf("%d files, %d cases, %v: want a case for every file", len(listed), len(malformed), err)
	}
	for _, c := range malformed {
		t.Run(c.file, func(t *testing.T) {
			var pages []extract.Page
			used, err := reader().call(ctx(t), at("malformed", c.file), request{Op: opPages}, func(kind byte, payload []byte) error {
				if kind != framePage {
					return nil
				}
				var p extract.Page
				err := json.Unmarshal(payload, &p)
				pages = append(pages, p)
				return err
			})
			if runtime.GOOS == "linux" && (used.peak == 0 || used.peak > maxMemory) {
				t.Errorf("the worker used %d MB, want 1 to %d", used.peak>>20, maxMemory>>20)
			}
			t.Logf("%d MB at most", used.peak>>20)
			if c.error != "" {
				if c.or != "" && err != nil && err.Error() == c.or {
					return
				}
				wantError(t, err, c.error)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if len(pages) != 1 || len(pages[0].Words) != c.words || pages[0].Images != c.images {
				t.Errorf("%d pages, want 1, with %d words and %d images", len(pages), c.words, c.images)
				for _, p := range pages {
					t.Errorf("%d words, %d images", len(p.Words), p.Images)
				}
			}
			if c.texts != nil && len(pages) == 1 && !slices.Equal(texts(pages[0]), c.texts) {
				t.Errorf("got %q, want %q", texts(pages[0]), c.texts)
			}
		})
	}
}

// The same six words stand at the same place whether or not the media box begins
// at the origin: Courier at 10 points, 6 points a letter, from x 72, baselines at
// 92 and 106 from the top, as the content streams state.
func TestOffsetPlaces(t *testing.T) {
	at := material(t, 2, "files for places")
	for _, file := range []string{"mediabox_offset.pdf", "prev_loop.pdf"} {
		p := onePage(t, at("malformed", file))
		if len(p.Words) != 6 {
			t.Errorf("%s: %d words, want 6", file, len(p.Words))
			continue
		}
		for i, w := range p.Words {
			x := 72 + 6*[]float64{0, 5, 12}[i%3]
			base := 92 + 14*float64(i/3)
			if math.Abs(w.Box.X0-x) > 0.01 || math.Abs(w.Box.X1-x-6*float64(len(w.Text))) > 0.01 || w.Box.Y0 > base-5 || w.Box.Y1 < base || w.Box.Height() > 14 {
				t.Errorf("%s: %q at %v, want from x %g on baseline %g", file, w.Text, w.Box, x, base)
			}
		}
	}
}

// TestSelfCheck lets the second library read what was born digital.
func TestSelfCheck(t *testing.T) {
	cases := []struct {
		file          string
		agreed        int
		first, second int
		note          string
	}{
		{file: "base14_courier.pdf", agreed: 190},
		{file: "base14_times.pdf", agreed: 190},
		{file: "lzw.pdf", note: "the second reader failed: the reader failed on this file: unknown filter LZWDecode"},
		{file: "formxobj.pdf", agreed: 2, first: 182},
		{file: "groff_tbl.pdf", agreed: 9},
		{file: "objstm.pdf", agreed: 190},
		{file: "tw_spacing.pdf", agreed: 70},
		{file: "rottext.pdf", agreed: 182},
		{file: "two_streams_split.pdf", note: "the second reader failed: the reader failed on this file: bad Td"},
	}
	at := material(t, len(cases), "self-checks")
	for _, c := range cases {
		t.Run(c.file, func(t *testing.T) {
			got, err := reader().SelfCheck(ctx(t), at("malformed", c.file), 1)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%+v", got)
			if got.Agreed != c.agreed || len(got.First) != c.first || len(got.Second) != c.second || (got.Note != "") != (c.note != "") || !strings.Contains(got.Note, c.note) {
				t.Errorf("agreed %d, first alone %d, second alone %d, note %q; want %+v", got.Agreed, len(got.First), len(got.Second), got.Note, c)
			}
		})
	}
}

func BenchmarkPage(b *testing.B) {
	root := os.Getenv("WINDTALLY_MATERIAL")
	if root == "" {
		b.Skip("NOT RUN: 1 benchmark, WINDTALLY_MATERIAL is not set")
	}
	file := filepath.Join(root, "reports", "naca-tr-572.pdf")
	for b.Loop() {
		if _, err := reader().Pages(b.Context(), file, []int{22}); err != nil {
			b.Fatal(err)
		}
	}
}
