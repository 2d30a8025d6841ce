package numeral

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func ratOf(t testing.TB, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is not a rational", s)
	}
	return r
}

func TestParseNumbers(t *testing.T) {
	tests := []struct {
		text     string
		value    string
		step     string
		decimals int
		plain    string // Decimal, "" where the value is no finite decimal
		notes    string // marks and flags
	}{
		{"1.53", "153/100", "1/100", 2, "1.53", ""},
		{".30", "3/10", "1/100", 2, "0.30", ""},
		{"0.30", "3/10", "1/100", 2, "0.30", ""},
		{"-.014", "-7/500", "1/1000", 3, "-0.014", ""},
		{"\u2212.014", "-7/500", "1/1000", 3, "-0.014", ""}, // minus sign
		{"\u2013.014", "-7/500", "1/1000", 3, "-0.014", ""}, // en dash
		{"\u2014.014", "-7/500", "1/1000", 3, "-0.014", ""}, // em dash
		{"\u20121.9", "-19/10", "1/10", 1, "-1.9", ""},      // figure dash
		{"--.983", "-983/1000", "1/1000", 3, "-0.983", ""},
		{"--0.014", "-7/500", "1/1000", 3, "-0.014", ""},
		{"+0.5", "1/2", "1/10", 1, "0.5", ""},
		{"0", "0", "1", 0, "0", ""},
		{"-0.0", "0", "1/10", 1, "0.0", ""},
		{"-0", "0", "1", 0, "0", ""},
		{"0.", "0", "1", 0, "0", ""},
		{"15.", "15", "1", 0, "15", ""},
		{"201", "201", "1", 0, "201", ""},
		{" 1.10\t", "11/10", "1/100", 2, "1.10", ""},
		{"\u00a01.10", "11/10", "1/100", 2, "1.10", ""},
		{"0·85", "17/20", "1/100", 2, "0.85", ""},
		{"123456789012345678901234567890.5", "246913578024691357802469135781/2", "1/10", 1, "123456789012345678901234567890.5", ""},
		{"-9223372036854775808", "-9223372036854775808", "1", 0, "-9223372036854775808", ""},
		{"9223372036854775808", "9223372036854775808", "1", 0, "9223372036854775808", ""},

		{"8,000,000", "8000000", "1", 0, "8000000", "grouped"},
		{"1,234.5", "2469/2", "1/10", 1, "1234.5", "grouped"},
		{"-12,345", "-12345", "1", 0, "-12345", "grouped"},
		{"1\u202f234\u202f567", "1234567", "1", 0, "1234567", "grouped"},
		{"935\u2009400", "935400", "1", 0, "935400", "grouped"},
		{"1\u00a0234.50", "2469/2", "1/100", 2, "1234.50", "grouped"},

		{"1.2x10^3", "1200", "100", 0, "1200", ""},
		{"1.2×10⁻³", "3/2500", "1/10000", 4, "0.0012", ""},
		{"3.1 x 10^6", "3100000", "100000", 0, "3100000", ""},
		{"3.10 × 10⁶", "3100000", "10000", 0, "3100000", ""},
		{"1.2·10^3", "1200", "100", 0, "1200", ""},
		{"6*10^-4", "3/5000", "1/10000", 4, "0.0006", ""},
		{"1.2E+03", "1200", "100", 0, "1200", ""},
		{"-.12345E-03", "-2469/20000000", "1/100000000", 8, "-0.00012345", ""},
		{"1.5e-05", "3/200000", "1/1000000", 6, "0.000015", ""},
		{"2x10⁰", "2", "1", 0, "2", ""},

		{"5½", "11/2", "1/2", 0, "5.5", ""},
		{"5 ½", "11/2", "1/2", 0, "5.5", ""},
		{"½", "1/2", "1/2", 0, "0.5", ""},
		{"-2¼", "-9/4", "1/4", 0, "-2.25", ""},
		{"3⅓", "10/3", "1/3", 0, "", ""},
		{"5 1/2", "11/2", "1/2", 0, "5.5", ""},
		{"5\u00a01/2", "11/2", "1/2", 0, "5.5", ""},
		{"12 5/16", "197/16", "1/16", 0, "12.3125", ""},
		{"3/4", "3/4", "1/4", 0, "0.75", ""},
		{"3⁄4", "3/4", "1/4", 0, "0.75", ""},
		{"1/3", "1/3", "1/3", 0, "", ""},
		{"5-1/2", "11/2", "1/2", 0, "5.5", ""},
		{"-7-3/64", "-451/64", "1/64", 0, "-7.046875", ""},

		{"10°", "10", "1", 0, "10", "degrees"},
		{"-4.5 °", "-9/2", "1/10", 1, "-4.5", "degrees"},
		{"10°30'", "21/2", "1/60", 0, "10.5", "degrees"},
		{"10° 30′", "21/2", "1/60", 0, "10.5", "degrees"},
		{"10°20’", "31/3", "1/60", 0, "", "degrees"},
		{"-0°30'", "-1/2", "1/60", 0, "-0.5", "degrees"},
		{"1°05'", "13/12", "1/60", 0, "", "degrees"},
		{"2°15'36\"", "113/50", "1/3600", 0, "2.26", "degrees"},
		{"2° 15′ 36″", "113/50", "1/3600", 0, "2.26", "degrees"},
		{"2°15'36''", "113/50", "1/3600", 0, "2.26", "degrees"},
		{"3°7.5'", "25/8", "1/600", 0, "3.125", "degrees"},
		{"22½°", "45/2", "1/2", 0, "22.5", "degrees"},
		{"30º", "30", "1", 0, "30", "degrees"},

		{"45%", "45", "1", 0, "45", "percent"},
		{"12.5 %", "25/2", "1/10", 1, "12.5", "percent"},

		{"0.50b", "1/2", "1/100", 2, "0.50", "[b] letter attached"},
		{"0.50 b", "1/2", "1/100", 2, "0.50", "[b] letter"},
		{"201 a", "201", "1", 0, "201", "[a] letter"},
		{"1.53¹", "153/100", "1/100", 2, "1.53", "[¹]"},
		{"1.53ᵃᵇ", "153/100", "1/100", 2, "1.53", "[ᵃ ᵇ]"},
		{"1.53*", "153/100", "1/100", 2, "1.53", "[*]"},
		{"1.53**", "153/100", "1/100", 2, "1.53", "[**]"},
		{"1.53 †‡", "153/100", "1/100", 2, "1.53", "[† ‡]"},
		{"1.53§ ‖", "153/100", "1/100", 2, "1.53", "[§ ‖]"},
		{"1.53 (1)", "153/100", "1/100", 2, "1.53", "[(1)]"},
		{"1.53 (a)", "153/100", "1/100", 2, "1.53", "[(a)]"},
		{"1.53 a, b", "153/100", "1/100", 2, "1.53", "[a b] letter"},
		{"201¹", "201", "1", 0, "201", "[¹]"},
		{"*1.53", "153/100", "1/100", 2, "1.53", "[*]"},
		{"* -1.5 c", "-3/2", "1/10", 1, "-1.5", "[* c] letter"},
		{"3.1×10⁶ b", "3100000", "100000", 0, "3100000", "[b] letter"},
		{"12°*", "12", "1", 0, "12", "degrees [*]"},
		{"45% ¹", "45", "1", 0, "45", "percent [¹]"},

		{"....... 0.050", "1/20", "1/1000", 3, "0.050", ""},
		{". . . . 0.050", "1/20", "1/1000", 3, "0.050", ""},
		{"...... .050", "1/20", "1/1000", 3, "0.050", ""},
		{"......-.014", "-7/500", "1/1000", 3, "-0.014", ""},
		{"…… 8,000,000", "8000000", "1", 0, "8000000", "grouped"},
		{"....0.050", "1/20", "1/1000", 3, "0.050", ""},
		{"1.25 .....", "5/4", "1/100", 2, "1.25", ""},
		{"20....", "20", "1", 0, "20", ""},
	}
	for _, tt := range tests {
		n, err := Parse(tt.text)
		if err != nil {
			t.Errorf("Parse(%q): %v", tt.text, err)
			continue
		}
		if n.Kind != Number {
			t.Errorf("Parse(%q) is %s, want a number", tt.text, n.Kind)
			continue
		}
		if n.Rat().Cmp(ratOf(t, tt.value)) != 0 || n.Step().Cmp(ratOf(t, tt.step)) != 0 || n.Decimals != tt.decimals {
			t.Errorf("Parse(%q) = %s step %s decimals %d, want %s step %s decimals %d", tt.text, n.Rat(), n.Step(), n.Decimals, tt.value, tt.step, tt.decimals)
		}
		plain := ""
		if n.Finite {
			plain = n.Decimal.String()
		}
		if plain != tt.plain {
			t.Errorf("Parse(%q): decimal %q, want %q", tt.text, plain, tt.plain)
		}
		if got := notes(n); got != tt.notes {
			t.Errorf("Parse(%q): notes %q, want %q", tt.text, got, tt.notes)
		}
		exact, _ := ratOf(t, tt.value).Float64()
		if n.Float64() != exact {
			t.Errorf("Parse(%q): float %v, want %v", tt.text, n.Float64(), exact)
		}
	}
}

func notes(n Numeral) string {
	var parts []string
	if n.Grouped {
		parts = append(parts, "grouped")
	}
	if n.Degrees {
		parts = append(parts, "degrees")
	}
	if n.Percent {
		parts = append(parts, "percent")
	}
	if len(n.Marks()) > 0 {
		parts = append(parts, fmt.Sprint(n.Marks()))
	}
	if n.LetterMark {
		parts = append(parts, "letter")
	}
	if n.MarkAttached {
		parts = append(parts, "attached")
	}
	return strings.Join(parts, " ")
}

func TestParseOtherKinds(t *testing.T) {
	tests := []struct {
		kind  Kind
		texts []string
	}{
		{Blank, []string{"", " ", "\t\u00a0"}},
		{Missing, []string{"-", "--", "---", "—", "–", "−", "- - -", "....", "...", "..", ". . . .", "…", "……", "· · ·", " -- ", "..... —"}},
		{Ditto, []string{`"`, "″", "''", "ditto", "Ditto", "do.", "Do.", "do", "〃", "”", "“"}},
	}
	for _, tt := range tests {
		for _, text := range tt.texts {
			n, err := Parse(text)
			if err != nil || n.Kind != tt.kind || n.Rat() != nil || n.Step() != nil || n.Float64() != 0 || len(n.Marks()) != 0 {
				t.Errorf("Parse(%q) = %+v, %v; want %s", text, n, err, tt.kind)
			}
		}
	}
	for text, mark := range map[string]string{"—¹": "¹", "-- a": "a", "....*": "*", "- (2)": "(2)"} {
		n, err := Parse(text)
		if err != nil || n.Kind != Missing || !slices.Equal(n.Marks(), []string{mark}) {
			t.Errorf("Parse(%q) = %+v, %v; want missing with mark %s", text, n, err, mark)
		}
	}
}

// TestParseRefuses: texts of scans' text layers (the first group is what the layers
// of published scans really hold) and ambiguous print are errors that say why.
func TestParseRefuses(t *testing.T) {
	tests := []struct{ text, why string }{
		{"I. 51", "letter I where a figure should be"},
		{"1._3", "'_' where a figure should be"},
		{"Zow6", "letter Z where a figure should be"},
		{"O75", "letter O where a figure should be"},
		{"• 810", "'•' where a figure should be"},
		{"• 345", "'•' where a figure should be"},
		{"10 . 28 5", "a point too many"},
		{"--. 983", "a space parts the point from its figures"},
		{"!--. 043", "'!' where a figure should be"},
		{"sob", "letter s where a figure should be"},
		{".7\"/5", `'"' where a figure should be`},
		{"19'2", `'\'' where a figure should be`},
		{".0_", "'_' where a figure should be"},
		{"21_", "'_' where a figure should be"},
		{",7", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"8, 000, 000", "a space after a comma inside a figure"},
		{".¢", "'¢' where a figure should be"},

		{"1.O2", "letter O where a figure should be"},
		{"I.51", "letter I where a figure should be"},
		{"1.l2", "letter l where a figure should be"},
		{"1.5l", "letter l where a figure should be"},
		{"1.5e", "letter e where a figure should be; a power of ten is written 1.2x10^3 or 1.2E+3"},
		{"1.2E3", "letter E where a figure should be; a power of ten is written 1.2x10^3 or 1.2E+3"},
		{"1.5o", "letter o where a figure should be"},
		{"1.5S", "letter S where a figure should be"},
		{"1b", "letter b where a figure should be"},
		{"0.5i", "letter i where a figure should be"},
		{"0.50 deg", "letter d where a figure should be"},
		{"0.50 bc", "letter b where a figure should be"},
		{"0.5 e", "letter e where a figure should be"},
		{"1.2.3", "a point too many"},
		{"12,34", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"1,23,456", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"0,123", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"1234,567", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"1,2345", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"1,234,56", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"1.234,567", "a comma that does not part thousands; a decimal comma must be entered as a point"},
		{"1 234", "more than one figure in the cell"},
		{"0.12 3", "more than one figure in the cell"},
		{"15. 5", "a space parts the point from its figures"},
		{"- 5", "a space parts the minus from its figure"},
		{"−\u2009.014", "a space parts the minus from its figure"},
		{"+ 5", "a space parts the plus from its figure"},
		{"---5", "more than one sign"},
		{"+-5", "more than one sign"},
		{"–-5", "more than one sign"},
		{"±0.5", "± is not one sign: enter the value, or the two values"},
		{"1.5±0.1", "± is not one sign: enter the value, or the two values"},
		{"5-6", "a dash where a figure should be"},
		{"5–6", "a dash where a figure should be"},
		{"-.", "a figure is wanted at the end"},
		{"+", "a figure is wanted at the end"},
		{".", "a point alone"},
		{"-(1)", "'(' where a figure should be"},
		{"(0.50)", "'(' where a figure should be"},
		{"0.50 (12a)", "'(' where a figure should be"},
		{"n.a.", "letter n where a figure should be"},
		{"NaN", "letter N where a figure should be"},
		{"Inf", "letter I where a figure should be"},
		{"0x1F", "a times sign is not followed by a power of ten, as in 1.2x10^3"},
		{"1_000", "'_' where a figure should be"},
		{"１２", "'１' where a figure should be"},
		{"٣", "'٣' where a figure should be"},

		{"075", "a leading zero without a point; was a point lost?"},
		{"--0.", "minus zero with a bare point; were decimals lost?"},
		{"-0.", "minus zero with a bare point; were decimals lost?"},
		{"00.5", "a needless leading zero; was a point or a figure misread?"},
		{"51/2", "an improper fraction; was the space of a mixed number lost?"},
		{"10/20", "10/20 is not a fraction as printed: two settings?"},
		{"20/40", "20/40 is not a fraction as printed: two settings?"},
		{"5 2/4", "2/4 is not a fraction as printed: two settings?"},
		{"15/40", "15/40 is not a fraction as printed: two settings?"},
		{"3/7", "3/7 is not a fraction as printed: two settings?"},
		{"2/2", "an improper fraction; was the space of a mixed number lost?"},
		{"1/0", "not a simple fraction"},
		{"1/", "a figure is wanted at the end"},
		{"5-1/3", "a hyphen before a fraction is read as a mixed number for halves to sixty-fourths only"},
		{"0 1/2", "a mixed number whose whole part begins with 0"},
		{"5.5 1/2", "more than one figure in the cell"},
		{"5.5½", "'½' where a figure should be"},
		{"10^6", "a power of ten without a factor has no last digit, and a superscript may be a footnote mark: enter the value"},
		{"10²", "a power of ten without a factor has no last digit, and a superscript may be a footnote mark: enter the value"},
		{"10⁻³", "a power of ten without a factor has no last digit, and a superscript may be a footnote mark: enter the value"},
		{"1.2x106", "the exponent is not raised, or lost: enter it as in 1.2x10^3"},
		{"1.2 x 10", "the exponent is not raised, or lost: enter it as in 1.2x10^3"},
		{"1.2x10⁶¹", "exponent and footnote mark cannot be told apart: enter it as in 1.2x10^12"},
		{"1.2x10^99", "a power of ten beyond 30"},
		{"1.2E+99999999999999999999", "a power of ten beyond 30"},
		{"1.2x5", "a times sign is not followed by a power of ten, as in 1.2x10^3"},
		{"1·10⁶", "a raised point before 10 and a superscript: decimal point or times sign cannot be told"},
		{"10⁰", "a superscript zero; a degree sign was most likely printed"},
		{"5⁰", "a superscript zero; a degree sign was most likely printed"},
		{"10°75'", "75 minutes: fewer than 60 are wanted"},
		{"10°30", "figures after the degree sign without the sign of minutes"},
		{"10.5°30'", "more than one figure in the cell"},
		{"30'", `'\'' where a figure should be`},
		{"....050", "whether the last point belongs to the leader or to the figure cannot be told"},
		{".. 050", "whether the last point belongs to the leader or to the figure cannot be told"},
		{"..... x", "letter x where a figure should be"},
		{". . .050", "whether the last point belongs to the leader or to the figure cannot be told"},
		{"..... 345", "whether the last point belongs to the leader or to the figure cannot be told"},
		{". 050", "a space parts the point from its figures"},
		{"0.5 a,", "a comma at the end"},
		{"0.5\xff", "not valid UTF-8"},
		{strings.Repeat("9", 201), "longer than 200 bytes"},
	}
	for _, tt := range tests {
		n, err := Parse(tt.text)
		if err == nil {
			t.Errorf("Parse(%q) = %+v, want an error", tt.text, n)
			continue
		}
		if want := quote(tt.text) + " is not a number: " + tt.why; err.Error() != want {
			t.Errorf("Parse(%q): error\n\t%v\nwant\n\t%s", tt.text, err, want)
		}
		if n.Kind == Number && n.Finite {
			t.Errorf("Parse(%q) gives a value beside its error", tt.text)
		}
	}
}

// TestKeyedTables: every figure of the keyed tables of published reports (NACA TR
// 572 tables II, V and VI; NACA TR 515 table III) is read, and written plainly it
// is the text with its leading zero.
func TestKeyedTables(t *testing.T) {
	files := map[string]int{
		"naca-tr-515-table-3.csv":                        729,
		"naca-tr-572-p22-table-2-stations-0-and-0.2.csv": 338,
		"naca-tr-572-p24-table-5.csv":                    54,
		"naca-tr-572-p24-table-6.csv":                    70,
	}
	dir := os.Getenv("WINDTALLY_MATERIAL")
	if dir == "" {
		t.Skip("not run: 1191 cells of 4 keyed tables, WINDTALLY_MATERIAL is not set")
	}
	for name, cells := range files {
		f, err := os.Open(filepath.Join(dir, "truth", name))
		if err != nil {
			t.Fatal(err)
		}
		r := csv.NewReader(f)
		r.Comment = '#'
		r.FieldsPerRecord = -1
		lines, err := r.ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		numbers := 0
		for _, line := range lines[1:] {
			for i, text := range line {
				if i == 0 && strings.Contains(name, "p24") {
					continue // the wing's designation
				}
				n, err := Parse(text)
				if err != nil {
					t.Errorf("%s: %v", name, err)
					continue
				}
				if n.Kind != Number {
					continue
				}
				numbers++
				want := text
				if strings.HasPrefix(want, ".") {
					want = "0" + want
				}
				if rest, ok := strings.CutPrefix(want, "-."); ok {
					want = "-0." + rest
				}
				if got := n.Decimal.String(); got != want {
					t.Errorf("%s: %q is written %s", name, text, got)
				}
			}
		}
		if numbers != cells {
			t.Errorf("%s: %d numbers, want %d", name, numbers, cells)
		}
	}
}

// TestPrintedDigitsComeBack: a figure built from digits in every plain convention
// is read to those digits; math/big's own parser gives the wanted value.
func TestPrintedDigitsComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := rapid.StringMatching(`0|[1-9][0-9]{0,11}`).Draw(t, "whole")
		fraction := rapid.StringMatching(`[0-9]{0,9}`).Draw(t, "fraction")
		minus := rapid.SampledFrom([]string{"", "-", "\u2212", "\u2013", "\u2014", "\u2012", "--"}).Draw(t, "minus")
		lead := rapid.Bool().Draw(t, "leading zero")
		grouped := rapid.SampledFrom([]string{"", ",", "\u2009", "\u202f", "\u00a0"}).Draw(t, "separator")
		exponent := rapid.IntRange(-12, 12).Draw(t, "exponent")
		power := rapid.SampledFrom([]string{"", "x10^", " × 10^", "E"}).Draw(t, "power")
		mark := rapid.SampledFrom([]string{"", "*", " b", "¹", " (2)", " ....."}).Draw(t, "mark")

		printed := whole
		if whole == "0" && !lead && fraction != "" {
			printed = ""
		} else if len(whole) > 3 && grouped != "" {
			var groups []string
			for rest := whole; rest != ""; {
				cut := max(0, len(rest)-3)
				groups = append([]string{rest[cut:]}, groups...)
				rest = rest[:cut]
			}
			printed = strings.Join(groups, grouped)
		}
		reference := whole + "." + fraction + "0"
		if fraction != "" {
			printed += "." + fraction
		}
		step := "1e-" + strconv.Itoa(len(fraction))
		if power != "" {
			printed += power
			if power == "E" {
				printed += fmt.Sprintf("%+03d", exponent)
			} else {
				printed += strconv.Itoa(exponent)
			}
			reference += "e" + strconv.Itoa(exponent)
			step = "1e" + strconv.Itoa(exponent-len(fraction))
		}
		if whole == "10" && fraction == "" && power == "" && mark == "¹" {
			t.Skip("10¹ is refused")
		}
		if minus != "" {
			reference = "-" + reference
		}
		text := minus + printed + mark
		n, err := Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		wantValue, _ := new(big.Rat).SetString(reference)
		wantStep, _ := new(big.Rat).SetString(step)
		if n.Kind != Number || n.Rat().Cmp(wantValue) != 0 || n.Step().Cmp(wantStep) != 0 {
			t.Fatalf("Parse(%q) = %s step %s, want %s step %s", text, n.Rat(), n.Step(), wantValue, wantStep)
		}
		if !n.Finite || n.Decimal.Rat().Cmp(wantValue) != 0 || n.Decimal.Scale() != n.Decimals {
			t.Fatalf("Parse(%q): decimal %s with %d decimals", text, n.Decimal, n.Decimals)
		}
	})
}

// FuzzParse: no panic; a number rendered at its step has the figures that were
// printed, and nothing else that counts.
func FuzzParse(f *testing.F) {
	seeds := []string{
		"", "-", "....", `"`, "1.53", "-.014", "--.983", "8,000,000", "1.2×10⁻³", "5 1/2", "10°30'", "0.50b", "0.50 (1)",
		"....... 0.050", "I. 51", "1._3", "• 810", "10 . 28 5", "0·85", "1.2E+03", "5½", "45%", "\xff", "10²", "3/4", "20 ....", "*1.5", "1.5 a, b",
	}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, err := Parse(text)
		if err != nil {
			if !strings.Contains(err.Error(), " is not a number: ") {
				t.Errorf("Parse(%q): error %v", text, err)
			}
			return
		}
		if n.Kind != Number {
			if strings.ContainsFunc(text, isDigitRune) && len(n.Marks()) == 0 {
				t.Errorf("Parse(%q) is %s although figures are printed", text, n.Kind)
			}
			return
		}
		if n.Step().Sign() <= 0 {
			t.Fatalf("Parse(%q): step %s", text, n.Step())
		}
		units := new(big.Rat).Quo(n.Rat(), n.Step())
		if !units.IsInt() {
			t.Fatalf("Parse(%q): %s is no multiple of its step %s", text, n.Rat(), n.Step())
		}
		if n.Finite && n.Decimal.Rat().Cmp(n.Rat()) != 0 {
			t.Fatalf("Parse(%q): decimal %s, value %s", text, n.Decimal, n.Rat())
		}
		if n.more != nil && n.more.value != nil || n.Degrees && strings.ContainsAny(text, "'′’‘ʹ") {
			return // fractions and minutes have no digit string of their own
		}
		// The figure's digits: all ASCII digits of the text but those of exponents
		// and of marks in parentheses.
		figure := text
		for _, mark := range n.Marks() {
			if strings.HasPrefix(mark, "(") {
				figure = strings.Replace(figure, mark, "", 1)
			}
		}
		if i := strings.Index(figure, "10^"); i > 0 {
			figure = figure[:i]
		}
		if i := strings.IndexAny(figure, "xX×·⋅eE"); i > 0 {
			if r, _ := utf8.DecodeRuneInString(figure[i:]); r != '·' || strings.Contains(figure[i:], "10⁻") || strings.Contains(figure[:i], ".") {
				figure = figure[:i]
			}
		}
		var digits strings.Builder
		for _, r := range figure {
			if isDigitRune(r) {
				digits.WriteRune(r)
			}
		}
		want := strings.TrimLeft(digits.String(), "0")
		got := strings.TrimLeft(new(big.Int).Abs(units.Num()).String(), "0")
		if got != want {
			t.Errorf("Parse(%q): %s at step %s has the figures %q, printed are %q", text, n.Rat(), n.Step(), got, want)
		}
	})
}

func TestParseDecimal(t *testing.T) {
	for _, s := range []string{"0", "0.30", "-0.014", "15", "8000000", "-9223372036854775808", "123456789012345678901234567890.50", "0.000"} {
		d, err := ParseDecimal(s)
		if err != nil || d.String() != s || d.Rat().Cmp(ratOf(t, s)) != 0 {
			t.Errorf("ParseDecimal(%q) = %s, %v", s, d, err)
		}
	}
	refused := map[string]string{
		"":      `"" is not a plain decimal: a figure is wanted before the point, as in -0.5`,
		".5":    `".5" is not a plain decimal: a figure is wanted before the point, as in -0.5`,
		"5.":    `"5." is not a plain decimal: a figure is wanted after the point`,
		"+5":    `"+5" is not a plain decimal: only figures, one point and a leading - are wanted, as in -0.50`,
		"1e3":   `"1e3" is not a plain decimal: only figures, one point and a leading - are wanted, as in -0.50`,
		"1.2.3": `"1.2.3" is not a plain decimal: only figures, one point and a leading - are wanted, as in -0.50`,
		"007":   `"007" is not a plain decimal: needless leading zero`,
		"-0.0":  `"-0.0" is not a plain decimal: zero has no sign`,
		"0.30 ": `"0.30 " is not a plain decimal: only figures, one point and a leading - are wanted, as in -0.50`,
		"--1":   `"--1" is not a plain decimal: only figures, one point and a leading - are wanted, as in -0.50`,
	}
	for s, want := range refused {
		if d, err := ParseDecimal(s); err == nil || err.Error() != want {
			t.Errorf("ParseDecimal(%q) = %s, %v; want %s", s, d, err, want)
		}
	}
}

// TestDecimalRoundTrip: String and ParseDecimal are inverse; Float64 agrees with
// strconv, Cmp with big.Rat.
func TestDecimalRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Decimal {
			r := big.NewRat(rapid.Int64().Draw(t, name), 1)
			if rapid.Bool().Draw(t, "wide") {
				r.Mul(r, ratPowerOfTen(rapid.IntRange(0, 25).Draw(t, "shift")))
			}
			scale := rapid.IntRange(0, 30).Draw(t, "scale")
			return RoundTo(r.Mul(r, ratPowerOfTen(-scale)), scale)
		}
		d, e := draw("d"), draw("e")
		again, err := ParseDecimal(d.String())
		if err != nil || again.String() != d.String() || again.Scale() != d.Scale() || again.Cmp(d) != 0 || again.Sign() != d.Rat().Sign() {
			t.Fatalf("%s reads back as %s, %v", d, again, err)
		}
		if want, _ := strconv.ParseFloat(d.String(), 64); d.Float64() != want {
			t.Fatalf("%s as float64 is %v, want %v", d, d.Float64(), want)
		}
		if d.Cmp(e) != d.Rat().Cmp(e.Rat()) {
			t.Fatalf("Cmp(%s, %s) = %d", d, e, d.Cmp(e))
		}
	})
}

// TestRounding: half to even (IEEE 754, ISO 80000-1 annex B rule A).
func TestRounding(t *testing.T) {
	significant := []struct {
		value string
		n     int
		want  string
	}{
		{"1", 3, "1.00"}, {"0", 4, "0"}, {"123456", 3, "123000"}, {"-0.00012345", 2, "-0.00012"}, {"9.996", 3, "10.0"}, {"99.96", 3, "100"},
		{"999.5", 3, "1000"}, {"2.5", 1, "2"}, {"3.5", 1, "4"}, {"-2.5", 1, "-2"}, {"0.25", 1, "0.2"}, {"0.35", 1, "0.4"}, {"1/3", 5, "0.33333"}, {"2/3", 5, "0.66667"},
		{"0.0999999", 3, "0.100"}, {"1000", 1, "1000"}, {"1000", 6, "1000.00"}, {"5", 0, "5"}, {"381/1250", 4, "0.3048"},
	}
	for _, tt := range significant {
		if got := Round(ratOf(t, tt.value), tt.n).String(); got != tt.want {
			t.Errorf("Round(%s, %d) = %s, want %s", tt.value, tt.n, got, tt.want)
		}
	}
	decimals := []struct {
		value string
		n     int
		want  string
	}{
		{"0.125", 2, "0.12"}, {"0.375", 2, "0.38"}, {"-0.125", 2, "-0.12"}, {"-0.004", 2, "0.00"}, {"12345", -2, "12300"}, {"12350", -2, "12400"}, {"12250", -2, "12200"},
		{"0.5", 0, "0"}, {"1.5", 0, "2"}, {"-1.5", 0, "-2"}, {"1/3", 3, "0.333"}, {"15", 2, "15.00"},
	}
	for _, tt := range decimals {
		if got := RoundTo(ratOf(t, tt.value), tt.n).String(); got != tt.want {
			t.Errorf("RoundTo(%s, %d) = %s, want %s", tt.value, tt.n, got, tt.want)
		}
	}
}

// TestRoundAgainstStrconv: strconv formats a float64 to n figures, half to even on
// the exact binary value.
func TestRoundAgainstStrconv(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(-1e12, 1e12).Draw(t, "f")
		if math.Abs(f) < 1e-200 {
			t.Skip("too small to write plainly")
		}
		n := rapid.IntRange(1, 15).Draw(t, "figures")
		want, _ := new(big.Rat).SetString(strconv.FormatFloat(f, 'e', n-1, 64))
		if got := Round(new(big.Rat).SetFloat64(f), n); got.Rat().Cmp(want) != 0 {
			t.Fatalf("Round(%v, %d) = %s, want %s", f, n, got, want)
		}
	})
}

func ExampleParse() {
	for _, text := range []string{".30", "−.014", "5 1/2", "0.50 b", "....", "I. 51"} {
		n, err := Parse(text)
		switch {
		case err != nil:
			fmt.Println(err)
		case n.Kind == Number:
			fmt.Println(n.Decimal, "step", n.Step(), n.Marks())
		default:
			fmt.Println(n.Kind)
		}
	}
	// Output:
	// 0.30 step 1/100 []
	// -0.014 step 1/1000 []
	// 5.5 step 1/2 []
	// 0.50 step 1/100 [b]
	// missing
	// "I. 51" is not a number: letter I where a figure should be
}

func TestWithoutAllocation(t *testing.T) {
	if n := testing.AllocsPerRun(100, func() {
		if _, err := Parse("-1.234"); err != nil {
			t.Error(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations for a plain figure, want none", n)
	}
}

func BenchmarkParse(b *testing.B) {
	cells := map[string][]string{
		"plain":  {"1.53", "-.014", "201", "0.0076", "-0.983", "8.50"},
		"mixed":  {"1.53", "−.014", "8,000,000", "0.50 b", "10°30'", "5 1/2", "1.2×10⁻³", "—"},
		"refuse": {"I. 51", "1._3", "• 810", "12,34"},
	}
	for _, name := range []string{"plain", "mixed", "refuse"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			texts := cells[name]
			for i := 0; b.Loop(); i++ {
				_, _ = Parse(texts[i%len(texts)])
			}
		})
	}
}
