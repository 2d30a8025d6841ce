package validate

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"windtally/extract"
	"windtally/normalize/numeral"
)

// Decision is what a person decided about a cell or a finding.
type Decision string

// The four decisions. The print's text is always kept.
const (
	Confirm  Decision = "confirm"  // printed so, read so
	Reread   Decision = "reread"   // the reading was wrong, the print says this
	Emend    Decision = "emend"    // the print is wrong, this is the value, because
	Withhold Decision = "withhold" // not to be published
)

// Ruling is one row of rulings.csv. The file is append-only and its order means
// nothing: a ruling is undone by one that supersedes it.
type Ruling struct {
	ID         string
	Supersedes string // id of the ruling that this one replaces, or ""
	Target     string // a cell (table id/row/column) or a finding's id
	Decision   Decision
	Value      string // for Reread the print's text, for Emend the value
	Reason     string
	Who        string // initials
	When       time.Time
	// Evidence is the digest of what the ruling was made on; when that changes the
	// ruling lapses, visibly, and blocks.
	Evidence string
}

var (
	rulingID  = regexp.MustCompile(`^u[0-9a-f]{8}$`)
	findingID = regexp.MustCompile(`^f[0-9a-f]{12}$`)
	digest    = regexp.MustCompile(`^[0-9a-f]{16}$`)
)

// rulingsHead is the head row of rulings.csv.
var rulingsHead = strings.Split(strings.TrimSuffix(extract.RulingsHead, "\n"), ",")

// Lifts reports whether the ruling only takes another back and decides nothing.
func (r Ruling) Lifts() bool { return r.Evidence == lifted }

func (r Ruling) record() []string {
	return []string{r.ID, r.Supersedes, r.Target, string(r.Decision), r.Value, r.Reason, r.Who, r.When.UTC().Format(time.RFC3339), r.Evidence}
}

func (r Ruling) check() error {
	fail := func(format string, args ...any) error {
		return fmt.Errorf("ruling %s: "+format, append([]any{r.ID}, args...)...)
	}
	if !rulingID.MatchString(r.ID) {
		return fail("the id should be u and eight hexadecimal figures")
	}
	if r.Supersedes != "" && !rulingID.MatchString(r.Supersedes) {
		return fail("supersedes %q; it should be a ruling's id", r.Supersedes)
	}
	if _, isCell := extract.ParseCellID(r.Target); !isCell && !findingID.MatchString(r.Target) {
		return fail("is about %q; it should be a cell (table/row/column) or a finding's id", r.Target)
	}
	switch r.Decision {
	case Confirm, Withhold:
		if r.Value != "" {
			return fail("%s takes no value, got %q", r.Decision, r.Value)
		}
	case Reread: // no text: nothing is printed there
	case Emend:
		if r.Value == "" {
			return fail("%s needs the value that is right", r.Decision)
		}
	default:
		return fail("decision %q; it should be confirm, reread, emend or withhold", r.Decision)
	}
	if strings.TrimSpace(r.Reason) == "" {
		return fail("%s needs a reason", r.Decision)
	}
	if err := extract.PlainText(r.Reason); err != nil {
		return fail("the reason %w", err)
	}
	if err := CheckValue(r.Value); err != nil {
		return fail("the value %w", err)
	}
	if r.Who == "" {
		return fail("nobody signed it")
	}
	if err := extract.PlainText(r.Who); err != nil {
		return fail("its signature %w", err)
	}
	if !digest.MatchString(r.Evidence) && r.Evidence != lifted {
		return fail("its evidence is %q; it should be sixteen hexadecimal figures", r.Evidence)
	}
	if r.Supersedes == r.ID {
		return fail("it supersedes itself")
	}
	if r.When.IsZero() {
		return fail("it bears no time")
	}
	return nil
}

// CheckValue says why a text cannot be the value of a ruling, or nil. What an edition
// refuses could never be mended in rulings.csv, which is append-only.
func CheckValue(text string) error {
	if err := extract.OneLine(text); err != nil {
		return err
	}
	if text != "" && strings.ContainsRune("=+-@", rune(text[0])) && !signedFigure(text) {
		return fmt.Errorf("is %q, which spreadsheet programs take for a formula; only a figure begins with a sign", text)
	}
	return nil
}

// signedFigure reports whether a text that begins with a sign is a figure, or a
// stroke that stands for none.
func signedFigure(text string) bool {
	n, err := numeral.Parse(text)
	return err == nil && n.Kind == numeral.Number || strings.Trim(text, "-") == ""
}

// ReadRulings reads rulings.csv of the study in dir.
func ReadRulings(dir string) ([]Ruling, error) {
	name := filepath.Join(dir, "rulings.csv")
	data, err := os.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &extract.Error{File: "rulings.csv", Msg: "is not there; a study without rulings has it with its head row alone", Hint: "restore it from your version control"}
	}
	if err != nil {
		return nil, err
	}
	return parseRulings(data)
}

func parseRulings(data []byte) ([]Ruling, error) {
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = -1
	head, err := r.Read()
	if err != nil || !slices.Equal(head, rulingsHead) {
		return nil, &extract.Error{File: "rulings.csv", Line: 1, Msg: "the head row should be " + strings.TrimSpace(extract.RulingsHead)}
	}
	var list []Ruling
	seen := map[string][]string{}
	lines := map[string]int{}
	for {
		rec, err := r.Read()
		if err == io.EOF {
			if err := checkChains(list, lines); err != nil {
				return nil, err
			}
			return list, nil
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				return nil, &extract.Error{File: "rulings.csv", Line: pe.StartLine, Msg: "is not a row of CSV: " + pe.Err.Error()}
			}
			return nil, &extract.Error{File: "rulings.csv", Msg: err.Error()}
		}
		line, _ := r.FieldPos(0)
		fault := func(format string, args ...any) error {
			return &extract.Error{File: "rulings.csv", Line: line, Msg: fmt.Sprintf(format, args...)}
		}
		if len(rec) != len(rulingsHead) {
			return nil, fault("has %d fields; it should have %d", len(rec), len(rulingsHead))
		}
		when, err := time.Parse(time.RFC3339, rec[7])
		if err != nil {
			return nil, fault("when is %q; it should be a time such as 2026-01-31T09:30:00Z", rec[7])
		}
		u := Ruling{rec[0], rec[1], rec[2], Decision(rec[3]), rec[4], rec[5], rec[6], when, rec[8]}
		if err := u.check(); err != nil {
			return nil, fault("%v", err)
		}
		if first, twice := seen[u.ID]; twice {
			// merge=union may keep one row twice; two different rows may not share an id.
			if !slices.Equal(first, rec) {
				return nil, fault("ruling %s stands twice with different words", u.ID)
			}
			continue
		}
		seen[u.ID], lines[u.ID] = rec, line
		list = append(list, u)
	}
}

// checkChains proves that what is superseded is there, is about the same thing,
// and that no ruling comes to supersede itself: a lost row would otherwise bring a
// ruling back, and a circle would take all of its rulings away.
func checkChains(list []Ruling, lines map[string]int) error {
	byID := map[string]Ruling{}
	for _, u := range list {
		byID[u.ID] = u
	}
	for _, u := range list {
		if u.Supersedes == "" {
			continue
		}
		fault := func(format string, args ...any) error {
			return &extract.Error{File: "rulings.csv", Line: lines[u.ID], Msg: fmt.Sprintf("ruling %s: ", u.ID) + fmt.Sprintf(format, args...),
				Hint: "no row of the file is ever taken out or changed; restore it from your version control"}
		}
		old, ok := byID[u.Supersedes]
		switch {
		case !ok:
			return fault("supersedes %s, which is not in the file", u.Supersedes)
		case old.Target != u.Target:
			return fault("is about %s and supersedes %s, which is about %s", u.Target, old.ID, old.Target)
		}
		for at, steps := old, 0; at.Supersedes != ""; at, steps = byID[at.Supersedes], steps+1 {
			if at.Supersedes == u.ID || steps > len(list) {
				return fault("supersedes itself by way of %s", old.ID)
			}
		}
	}
	return nil
}

// AppendRuling writes one ruling to the end of rulings.csv and returns when it is
// on disk. The caller holds the study's lock.
func AppendRuling(dir string, u Ruling) error {
	if err := u.check(); err != nil {
		return err
	}
	f, err := os.OpenFile(filepath.Join(dir, "rulings.csv"), os.O_RDWR|os.O_APPEND, 0)
	if err != nil {
		return err
	}
	size, err := f.Seek(0, io.SeekEnd)
	if err != nil {
		return errors.Join(err, f.Close())
	}
	var b bytes.Buffer
	// A file cut in mid-row, or edited without a last line end, must not swallow
	// the new row.
	if size > 0 {
		last := make([]byte, 1)
		if _, err := f.ReadAt(last, size-1); err == nil && last[0] != '\n' {
			b.WriteByte('\n')
		}
	}
	w := csv.NewWriter(&b)
	if err := w.Write(u.record()); err != nil {
		return errors.Join(err, f.Close())
	}
	w.Flush()
	if _, err = f.Write(b.Bytes()); err != nil {
		// Half a row would spoil the file for good.
		err = errors.Join(err, f.Truncate(size))
	} else {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// live returns the rulings that no other supersedes, in order of id.
func live(all []Ruling) []Ruling {
	gone := map[string]bool{}
	for _, u := range all {
		if u.Supersedes != "" {
			gone[u.Supersedes] = true
		}
	}
	var list []Ruling
	for _, u := range all {
		if !gone[u.ID] {
			list = append(list, u)
		}
	}
	slices.SortFunc(list, func(a, b Ruling) int { return strings.Compare(a.ID, b.ID) })
	return list
}

// backTo begins the reason of a ruling that an undo wrote; the id of the ruling
// that it brings back follows, then a colon and the undoer's reason.
const backTo = "back to ruling "

var backToID = regexp.MustCompile(`^` + backTo + `(u[0-9a-f]{8}): `)

func rulingsByID(all []Ruling) map[string]Ruling {
	byID := make(map[string]Ruling, len(all))
	for _, u := range all {
		byID[u.ID] = u
	}
	return byID
}

// before returns the ruling that stood before u: what it superseded, or, where u
// brings an older one back, what that one superseded. So each undo goes a step
// further back, and none goes forward again.
func before(byID map[string]Ruling, u Ruling) (Ruling, bool) {
	for {
		m := backToID.FindStringSubmatch(u.Reason)
		if m == nil {
			break
		}
		// Words that only look so bring nothing back.
		at, steps := u, 0
		for at.Supersedes != "" && at.ID != m[1] && steps <= len(byID) {
			at, steps = byID[at.Supersedes], steps+1
		}
		if at.ID != m[1] || at.ID == u.ID || disagree(at, u) {
			break
		}
		u = at
	}
	p, ok := byID[u.Supersedes]
	return p, ok
}

// disagree reports whether two live rulings on one target cannot both stand.
func disagree(a, b Ruling) bool { return a.Decision != b.Decision || a.Value != b.Value }

// standing sorts the live rulings by target. Targets on which two live rulings
// disagree are in conflict and have none that stands; two that agree are one.
func standing(all []Ruling) (stand map[string]Ruling, conflict map[string][]Ruling) {
	stand, conflict = map[string]Ruling{}, map[string][]Ruling{}
	byTarget := map[string][]Ruling{}
	for _, u := range live(all) {
		if u.Evidence == lifted {
			continue
		}
		byTarget[u.Target] = append(byTarget[u.Target], u)
	}
	for target, list := range byTarget {
		split := false
		for _, u := range list[1:] {
			split = split || disagree(list[0], u)
		}
		if split {
			conflict[target] = list
			continue
		}
		// Of several that agree the newest speaks: its evidence is the freshest.
		newest := list[0]
		for _, u := range list[1:] {
			if u.When.After(newest.When) {
				newest = u
			}
		}
		stand[target] = newest
	}
	return stand, conflict
}

// Newest is the time of the newest ruling, the zero time where there is none.
func Newest(all []Ruling) time.Time {
	var t time.Time
	for _, u := range all {
		if u.When.After(t) {
			t = u.When
		}
	}
	return t
}
