package main

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"windtally/datasets/publish"
	"windtally/extract"
	"windtally/validate"

	"github.com/urfave/cli/v2"
)

// report runs the whole line up to the findings.
func (p *program) report(s *extract.Study) (*validate.Report, error) {
	for _, src := range s.Sources {
		if e := s.CheckSource(src); e != nil {
			return nil, e
		}
	}
	rulings, err := validate.ReadRulings(s.Dir)
	if err != nil {
		return nil, err
	}
	return validate.Run(s, rulings), nil
}

// checked opens the study and runs the whole line up to the findings.
func (p *program) checked(c *cli.Context) (*validate.Report, error) {
	s, err := p.open(c)
	if err != nil {
		return nil, err
	}
	return p.report(s)
}

// foundJSON is a finding as JSON gives it.
type foundJSON struct {
	ID       string   `json:"id"`
	Check    string   `json:"check"`
	Severity string   `json:"severity"`
	Table    string   `json:"table"`
	Where    string   `json:"where"`
	Cells    []string `json:"cells"`
	Message  string   `json:"message"`
	Expected string   `json:"expected,omitempty"`
	Miss     float64  `json:"miss,omitempty"`
	Why      string   `json:"why,omitempty"`
	Hint     string   `json:"hint,omitempty"`
	// Proposals are numerals that one slip could have made of what was read, likeliest
	// first.
	Proposals []proposalJSON `json:"proposals,omitempty"`
	Open      bool           `json:"open"`
	Mend      bool           `json:"mend"`
	File      string         `json:"file,omitempty"` // file:line, where one is to be mended
	Ruling    string         `json:"ruling,omitempty"`
	Evidence  string         `json:"evidence"` // the digest of what the finding rests on
	// Of a finding on one cell: where it stands, who read what in it, and all that it
	// may say, the readers' texts first.
	Place      *placeJSON    `json:"place,omitempty"`
	Witnesses  []witnessJSON `json:"witnesses,omitempty"`
	Candidates []string      `json:"candidates,omitempty"`
}

// proposalJSON is a numeral that the print may have.
type proposalJSON struct {
	Text string `json:"text"`
	Slip string `json:"slip"`
}

// placeJSON is a place as JSON gives it; box is x0, y0, x1, y1 in the seen frame.
type placeJSON struct {
	Page  int       `json:"page,omitempty"`
	Box   []float64 `json:"box,omitempty"`
	Sheet string    `json:"sheet,omitempty"`
	Cell  string    `json:"cell,omitempty"`
	Line  int       `json:"line,omitempty"`
}

// witnessJSON is one reader's word about a cell as JSON gives it.
type witnessJSON struct {
	Reader     string   `json:"reader"`
	Text       string   `json:"text"`
	Confidence *float64 `json:"confidence,omitempty"`
	Doubt      string   `json:"doubt,omitempty"`
	Candidates []string `json:"candidates,omitempty"`
}

func placeOf(p extract.Place) *placeJSON {
	if p == (extract.Place{}) {
		return nil
	}
	v := &placeJSON{Page: p.Page, Sheet: p.Sheet, Cell: p.Ref, Line: p.Line}
	if !p.Box.Empty() {
		v.Box = []float64{p.Box.X0, p.Box.Y0, p.Box.X1, p.Box.Y1}
	}
	return v
}

func witnessesOf(c *extract.Collated) []witnessJSON {
	list := []witnessJSON{}
	for _, w := range c.Witnesses {
		v := witnessJSON{Reader: w.Reader, Text: w.Text, Doubt: w.Doubt, Candidates: w.Candidates}
		if w.Confidence >= 0 {
			v.Confidence = &w.Confidence
		}
		list = append(list, v)
	}
	return list
}

// choices lists all that a cell may say: what its readers read, then what else they
// took it for, each once.
func choices(c *extract.Collated) []string {
	var list []string
	add := func(text string) {
		if !slices.ContainsFunc(list, func(have string) bool { return extract.SameText(have, text) }) {
			list = append(list, text)
		}
	}
	for _, w := range c.Witnesses {
		add(w.Text)
	}
	for _, w := range c.Witnesses {
		for _, text := range w.Candidates {
			add(text)
		}
	}
	return list
}

type findingsJSON struct {
	Findings   []foundJSON     `json:"findings"`
	Tables     []headJSON      `json:"tables"`     // worst first
	Tolerances []toleranceJSON `json:"tolerances"` // that study.yaml sets otherwise
	Plots      []plotted       `json:"plots,omitempty"`
	States     map[string]int  `json:"states"`
	Blocking   int             `json:"blocking"`
}

func (p *program) findingsCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "findings",
		Usage:     "collate, normalize and check the study, and list what was noticed",
		ArgsUsage: "[TABLE]",
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "all", Usage: "findings that were ruled on too"},
			&cli.StringFlag{Name: "html", Usage: "write them to `FILE` as one page with pictures of the print and commands to copy"},
			&cli.StringFlag{Name: "plots", Usage: "draw each lift curve and polar, with its fit and suspects, as an SVG file in the folder `DIR`"},
			&cli.StringFlag{Name: "by", Usage: "with --html: your `INITIALS`, for the commands to copy"},
			jsonFlag,
		},
		Action: func(c *cli.Context) error {
			if c.NArg() > 1 {
				return usagef("findings takes at most one TABLE, not %d arguments; see windtally findings --help", c.NArg())
			}
			switch {
			case c.IsSet("html") && c.String("html") == "":
				return usagef("findings: --html needs the name of a file")
			case c.IsSet("plots") && c.String("plots") == "":
				return usagef("findings: --plots needs the name of a folder")
			case c.IsSet("html") && c.Bool("json"):
				return usagef("findings: --html writes a page and --json lists for a program; give the one or the other")
			case c.IsSet("by") && !c.IsSet("html"):
				return usagef("findings: --by goes with --html")
			}
			s, err := p.open(c)
			if err != nil {
				return err
			}
			if c.IsSet("by") {
				if err := s.Person(c.String("by")); err != nil {
					return err
				}
			}
			table := ""
			if c.NArg() == 1 {
				t := s.Table(c.Args().First())
				if t == nil {
					return s.NoTable(c.Args().First())
				}
				table = t.Name
			}
			r, err := p.report(s)
			if err != nil {
				return err
			}
			var plots []plotted
			if c.IsSet("plots") {
				var old []string
				if plots, old, err = writePlots(c.String("plots"), s, r, table); err != nil {
					return err
				}
				if !c.Bool("json") {
					for _, m := range plots {
						p.printf("wrote %s: %s, %s\n", m.File, counted(m.Points, "point"), counted(m.Suspects, "suspect"))
					}
					for _, file := range old {
						p.printf("%s is of an earlier run; no such curve is drawn now\n", file)
					}
					if len(plots) == 0 {
						p.printf("no lift curve or polar to plot: none has rows with both figures\n")
					}
				}
			}
			if c.IsSet("html") {
				return p.pageOfFindings(c, s, r, table)
			}
			return p.listFindings(s, r, table, c.Bool("all"), c.Bool("json"), plots)
		},
	})
}

// chosen lists the findings to show, by table, worst first, and counts those that
// block.
func chosen(reports []validate.TableReport, table string, all bool) (list []validate.Finding, blocking int) {
	for _, t := range reports {
		if table != "" && t.Name != table {
			continue
		}
		for _, f := range t.Findings {
			if f.Blocks() {
				blocking++
			}
			if f.Open() || all {
				list = append(list, f)
			}
		}
	}
	return list, blocking
}

// headLine says of a table how many figures it has, who vouches for them, what they
// were checked by beyond that, and how many are suspect.
func headLine(t *validate.TableReport) string {
	if t.Figures == 0 {
		return "no figures"
	}
	states := map[string]int{}
	for k, v := range t.States {
		states[string(k)] = v
	}
	text := counted(t.Figures, "figure") + ": " + stateText(states)
	if t.ByRelation+t.ByFit > 0 {
		var by []string
		if n := t.ByRelation; n > 0 {
			by = append(by, fmt.Sprintf("%d by a relation printed in the table", n))
		}
		if n := t.ByFit; n > 0 {
			by = append(by, fmt.Sprintf("%d by the fit of a curve", n))
		}
		text += "; checked " + strings.Join(by, ", ")
	}
	if t.Suspects == 0 {
		return text + "; none suspect"
	}
	return text + fmt.Sprintf("; %d suspect", t.Suspects)
}

// toleranceJSON is a tolerance that the study sets otherwise.
type toleranceJSON struct {
	Check   string `json:"check"`
	Name    string `json:"name"`
	Value   string `json:"value"`
	Default string `json:"default,omitempty"` // the check's own, "" where the check has none of that name
	Reason  string `json:"reason"`
}

// tolerancesOf lists what study.yaml sets otherwise than the checks do, and why.
func tolerancesOf(s *extract.Study) []toleranceJSON {
	list := []toleranceJSON{}
	for _, t := range s.Settings.Tolerances {
		v := toleranceJSON{Check: t.Check, Name: t.Name, Value: t.Value, Reason: t.Reason}
		for _, k := range validate.Checks() {
			for _, b := range k.Bounds {
				if k.Name == t.Check && b.Name == t.Name {
					v.Default = strconv.FormatFloat(b.Value, 'f', -1, 64)
				}
			}
		}
		list = append(list, v)
	}
	return list
}

func (t toleranceJSON) String() string {
	own := ""
	if t.Default != "" {
		own = " instead of " + t.Default
	}
	return fmt.Sprintf("tolerance %s of %s is %s%s by study.yaml: %s", t.Name, t.Check, t.Value, own, t.Reason)
}

// headJSON is the head of a table's report as JSON gives it.
type headJSON struct {
	Table      string         `json:"table"`
	Figures    int            `json:"figures"`
	States     map[string]int `json:"states"`
	ByRelation int            `json:"by_relation"`
	ByFit      int            `json:"by_fit"`
	Suspects   int            `json:"suspects"`
	Blocking   int            `json:"blocking"`
	Doubts     int            `json:"doubts"`
	Notes      int            `json:"notes"`
}

// shownCount says how many findings are shown and how many block.
func shownCount(shown, blocking int) string {
	blocks := "block"
	if blocking == 1 {
		blocks = "blocks"
	}
	return fmt.Sprintf("%s shown, %d of them %s an edition", counted(shown, "finding"), blocking, blocks)
}

func (p *program) listFindings(s *extract.Study, r *validate.Report, table string, all, asJSON bool, plots []plotted) error {
	reports := r.Tables()
	list, blocking := chosen(reports, table, all)
	states := map[string]int{}
	for k, v := range r.States() {
		states[string(k)] = v
	}
	if asJSON {
		out := findingsJSON{Findings: []foundJSON{}, Tables: []headJSON{}, Tolerances: tolerancesOf(s), Plots: plots, States: states, Blocking: blocking}
		for _, t := range reports {
			if t.Name == "" || table != "" && t.Name != table {
				continue
			}
			h := headJSON{t.Name, t.Figures, map[string]int{}, t.ByRelation, t.ByFit, t.Suspects, t.Blocking, t.Doubts, t.Notes}
			for k, v := range t.States {
				h.States[string(k)] = v
			}
			out.Tables = append(out.Tables, h)
		}
		for _, f := range list {
			v := foundJSON{ID: f.ID, Check: f.Check, Severity: string(f.Severity), Table: f.Table, Where: f.Where, Cells: []string{}, Message: f.Message,
				Expected: f.Expected, Miss: f.Miss, Why: f.Why, Hint: f.Hint, Open: f.Open(), Mend: f.Mend, File: mendAt(s, &f), Evidence: f.Evidence}
			for _, id := range f.Cells {
				v.Cells = append(v.Cells, id.String())
			}
			for _, o := range f.Proposals {
				v.Proposals = append(v.Proposals, proposalJSON(o))
			}
			if f.Ruling != nil {
				v.Ruling = f.Ruling.ID
			}
			if len(f.Cells) == 1 {
				if c := r.Cell(f.Cells[0]); c != nil {
					v.Place, v.Witnesses, v.Candidates = placeOf(c.Place()), witnessesOf(c), choices(c)
				}
			}
			out.Findings = append(out.Findings, v)
		}
		if err := p.writeJSON(out); err != nil {
			return err
		}
	} else {
		for i := range reports {
			t := &reports[i]
			if table != "" && t.Name != table {
				continue
			}
			own, _ := chosen(reports[i:i+1], t.Name, all)
			switch {
			case t.Name == "" && len(own) == 0:
				continue
			case t.Name == "":
				p.printf("== the study\n")
			case len(own) == 0:
				p.printf("== %s: %s; nothing open\n", t.Name, headLine(t))
			default:
				p.printf("== %s: %s\n", t.Name, headLine(t))
			}
			for _, f := range own {
				p.printFinding(s, f)
			}
		}
		for _, t := range tolerancesOf(s) {
			p.printf("%s", wrap(t.String(), "", 100))
		}
		p.printf("%s; cells: %s\n", shownCount(len(list), blocking), stateText(states))
	}
	if blocking > 0 {
		return errFindings
	}
	return nil
}

func stateText(states map[string]int) string {
	var parts []string
	for _, s := range []extract.State{extract.Unwitnessed, extract.Keyed, extract.Agreed, extract.Disputed, extract.Doubtful, extract.Confirmed, extract.Reread, extract.Emended, extract.Withheld} {
		if n := states[string(s)]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, s))
		}
	}
	if len(parts) == 0 {
		return "none"
	}
	return strings.Join(parts, ", ")
}

func (p *program) printFinding(s *extract.Study, f validate.Finding) {
	id := f.ID
	if f.Mend && f.Severity == validate.Note {
		id = "for information"
	} else if f.Mend {
		id = "mend the file"
		if at := mendAt(s, &f); at != "" {
			id = "mend " + at
		}
	}
	p.printf("%s  %s  %s  (%s)\n", strings.ToUpper(string(f.Severity)), f.Where, f.Check, id)
	p.printf("%s", wrap(f.Message, "    ", 100))
	if f.Expected != "" {
		miss := ""
		if f.Miss > 0 {
			miss = fmt.Sprintf("; the miss is %.3g half-widths", f.Miss)
		}
		p.printf("%s", wrap("expected "+f.Expected+miss, "    ", 100))
	}
	if f.Why != "" {
		p.printf("%s", wrap("because "+f.Why, "    ", 100))
	}
	if len(f.Proposals) > 0 && f.Open() {
		var may []string
		for _, o := range f.Proposals {
			may = append(may, fmt.Sprintf("%s (%s)", o.Text, o.Slip))
		}
		p.printf("%s", wrap("one slip away: "+strings.Join(may, ", "), "    ", 100))
	}
	if f.Hint != "" && f.Open() {
		p.printf("%s", wrap("hint: "+f.Hint, "    ", 100))
	}
	if f.Ruling != nil {
		p.printf("%s", wrap(fmt.Sprintf("ruled: %s by %s: %s (%s)", f.Ruling.Decision, f.Ruling.Who, f.Ruling.Reason, f.Ruling.ID), "    ", 100))
	}
}

func (p *program) ruleCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "rule",
		Usage:     "record what a person decided about a finding or a cell",
		ArgsUsage: "FINDING|TABLE:ROW:COLUMN",
		Description: "confirm: printed so, read so. reread: the reading was wrong, the print says TEXT.\n" +
			"emend: the print is wrong, the value is TEXT. withhold: not to be published.",
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "confirm", Usage: "the print says so"},
			&cli.StringFlag{Name: "reread", Usage: "the print says `TEXT`"},
			&cli.StringFlag{Name: "emend", Usage: "the print is wrong; the value is `TEXT`"},
			&cli.BoolFlag{Name: "withhold", Usage: "not to be published"},
			&cli.BoolFlag{Name: "undo", Usage: "take the standing ruling back"},
			&cli.StringFlag{Name: "reason", Usage: "why, in a few `WORDS`"},
			&cli.StringFlag{Name: "by", Usage: "your `INITIALS`, as in study.yaml"},
			jsonFlag,
		},
		Action: func(c *cli.Context) error {
			target, err := argument(c, "FINDING or TABLE:ROW:COLUMN")
			if err != nil {
				return err
			}
			act := validate.Act{Who: c.String("by"), Reason: c.String("reason"), When: p.now()}
			chosen := 0
			for _, d := range []validate.Decision{validate.Confirm, validate.Withhold} {
				if c.Bool(string(d)) {
					chosen++
					act.Decision = d
				}
			}
			for _, d := range []validate.Decision{validate.Reread, validate.Emend} {
				if c.IsSet(string(d)) {
					chosen++
					act.Decision, act.Value = d, c.String(string(d))
				}
			}
			if c.Bool("undo") {
				chosen++
				act.Undo = true
			}
			switch {
			case chosen != 1:
				return usagef("rule: one of --confirm, --reread TEXT, --emend TEXT, --withhold, --undo must be given, not %d", chosen)
			case act.Who == "":
				return usagef("rule: --by INITIALS must be given; a ruling is signed")
			case act.Decision == validate.Emend && act.Value == "":
				return usagef("rule: --emend needs the value; a figure that is not to stand is withheld with --withhold")
			case act.Decision == validate.Reread && act.Value == "" && act.Reason == "":
				return usagef("rule: --reread without text says that nothing is printed there; give --reason WORDS if that is meant")
			case act.Reason == "" && act.Undo:
				return usagef("rule: --undo needs --reason WORDS")
			case act.Reason == "" && (act.Decision == validate.Emend || act.Decision == validate.Withhold):
				return usagef("rule: --%s needs --reason WORDS", act.Decision)
			}
			return p.change(c, func(s *extract.Study) error {
				if err := s.Person(act.Who); err != nil {
					return err
				}
				r, err := p.report(s)
				if err != nil {
					return err
				}
				done, err := r.Decide(target, act)
				if err != nil {
					return err
				}
				return p.listRulings(c, s, act, done)
			})
		},
	})
}

func (p *program) showCommand() *cli.Command {
	return command(&cli.Command{
		Name:      "show",
		Usage:     "print a table as collated, with the keys of its rows and columns",
		ArgsUsage: "TABLE",
		Flags:     []cli.Flag{jsonFlag},
		Action: func(c *cli.Context) error {
			name, err := argument(c, "TABLE")
			if err != nil {
				return err
			}
			s, err := p.open(c)
			if err != nil {
				return err
			}
			t := s.Table(name)
			if t == nil {
				return s.NoTable(name)
			}
			rulings, err := validate.ReadRulings(s.Dir)
			if err != nil {
				return err
			}
			ready := *t
			if ready.Status != "ready" {
				// Show a draft as it would be.
				for i := range s.Tables {
					if s.Tables[i].ID == t.ID {
						ready.Status = "ready"
						s.Tables[i] = &ready
					}
				}
			}
			r := validate.Run(s, rulings)
			for _, series := range r.Series {
				if series.Table.ID == t.ID {
					return p.showCollation(series.Collation, publish.Follow(r), c.Bool("json"))
				}
			}
			return fmt.Errorf("table %s was not collated", t.Name)
		},
	})
}

// ruledJSON is a ruling as JSON gives it.
type ruledJSON struct {
	ID         string `json:"id"`
	Supersedes string `json:"supersedes,omitempty"`
	Target     string `json:"target"`
	Where      string `json:"where"`    // the target in words
	Decision   string `json:"decision"` // undo where a ruling was taken back and none stands
	Value      string `json:"value,omitempty"`
	Reason     string `json:"reason"`
	Who        string `json:"who"`
}

func (p *program) listRulings(c *cli.Context, s *extract.Study, act validate.Act, done []validate.Ruling) error {
	list := []ruledJSON{}
	for _, u := range done {
		where := u.Target
		if id, isCell := extract.ParseCellID(u.Target); isCell {
			if t := s.Table(id.Table); t != nil {
				where = t.Name + ":" + id.Row + ":" + id.Column
			}
		}
		v := ruledJSON{u.ID, u.Supersedes, u.Target, where, string(u.Decision), u.Value, u.Reason, u.Who}
		if act.Undo && u.Lifts() {
			v.Decision = "undo"
		}
		list = append(list, v)
	}
	if c.Bool("json") {
		return p.writeJSON(list)
	}
	for _, v := range list {
		value := ""
		if v.Value != "" {
			value = fmt.Sprintf(" %q", v.Value)
		}
		back := ""
		if act.Undo && v.Decision != "undo" {
			back = "undone, back to "
		}
		p.printf("%s: %s%s%s for %s\n", v.ID, back, v.Decision, value, v.Where)
	}
	return nil
}

// statedAccuracy lists what the source states of its accuracy, in the words of the
// table's file: it is no part of the figures' rounding.
func statedAccuracy(t *extract.Table) []string {
	var lines []string
	for _, key := range slices.Sorted(maps.Keys(t.Accuracy)) {
		lines = append(lines, fmt.Sprintf("accuracy stated for %s: %s", key, t.Accuracy[key]))
	}
	for i := range t.Rows {
		if r := &t.Rows[i]; r.Accuracy != "" {
			lines = append(lines, fmt.Sprintf("accuracy stated for %q: %s", r.Label, r.Accuracy))
		}
	}
	return lines
}

type cellJSON struct {
	Row       string        `json:"row"`
	Column    string        `json:"column"`
	Print     string        `json:"print"`
	Text      string        `json:"text"`
	State     string        `json:"state"`
	Place     string        `json:"place"`
	Witnesses []witnessJSON `json:"witnesses"`
	Derived   []derivedJSON `json:"derived,omitempty"`
}

// derivedJSON is a number that follows from a cell, as it would be published now.
type derivedJSON struct {
	ID        string   `json:"id"`
	Quantity  string   `json:"quantity"`
	On        []string `json:"on"` // what the conversion changed: "airspeed kind: CAS"
	Value     string   `json:"value"`
	HalfWidth string   `json:"half_width"`
	Unit      string   `json:"unit"`
}

func (p *program) showCollation(c *extract.Collation, follow []publish.Following, asJSON bool) error {
	follow = slices.DeleteFunc(follow, func(d publish.Following) bool { return d.From.Of.Cell.ID.Table != c.Table.ID })
	if asJSON {
		out := []cellJSON{}
		each(c, func(cell *extract.Collated) {
			v := cellJSON{Row: cell.ID.Row, Column: cell.ID.Column, Print: cell.Print, Text: cell.Text, State: string(cell.State),
				Place: cell.Place().String(), Witnesses: witnessesOf(cell)}
			for _, d := range follow {
				if d.From.Of.Cell.ID == cell.ID {
					v.Derived = append(v.Derived, derivedJSON{d.DerivedID, d.Quantity, d.Changed, string(d.Value), string(d.HalfWidth), d.Unit})
				}
			}
			out = append(out, v)
		})
		return p.writeJSON(out)
	}
	keys := c.Table.ColumnKeys()
	lines := [][]string{append([]string{"row"}, keys...)}
	for _, row := range c.Rows {
		line := []string{row}
		for _, k := range keys {
			text := ""
			if cell := c.Cell(row, k); cell != nil {
				text = cell.Text + mark(cell)
			}
			line = append(line, text)
		}
		lines = append(lines, line)
	}
	widths := make([]int, len(keys)+1)
	for _, l := range lines {
		for i, t := range l {
			widths[i] = max(widths[i], len([]rune(t)))
		}
	}
	for _, l := range lines {
		var b strings.Builder
		for i, t := range l {
			b.WriteString(t + strings.Repeat(" ", widths[i]-len([]rune(t))+2))
		}
		p.printf("%s\n", strings.TrimRight(b.String(), " "))
	}
	for _, g := range c.Table.Givens {
		if cell := c.Cell(extract.Given, g.Key); cell != nil {
			p.printf("given %s: %s%s\n", g.Key, cell.Text, mark(cell))
		}
	}
	for _, line := range statedAccuracy(c.Table) {
		p.printf("%s\n", line)
	}
	for _, d := range follow {
		u := ""
		if d.Unit != "1" {
			u = " " + d.Unit
		}
		id := d.From.Of.Cell.ID
		p.printf("derived from %s:%s %s: %s (%s) %s%s, half-width %s; %s\n", id.Row, id.Column, d.From.Of.Cell.Text, d.Quantity, strings.Join(d.Changed, ", "), d.Value, u, d.HalfWidth, d.DerivedID)
	}
	each(c, func(cell *extract.Collated) {
		if slices.ContainsFunc(cell.Witnesses, func(w extract.Witness) bool { return w.Doubt != "" }) {
			var said []string
			for _, w := range cell.Witnesses {
				said = append(said, w.String())
			}
			p.printf("%s:%s %s: %s\n", cell.ID.Row, cell.ID.Column, cell.State, strings.Join(said, ", "))
		}
	})
	if len(c.Readers) == 0 {
		p.printf("no reading yet: windtally extract %s, or windtally entry %s\n", c.Table.Name, c.Table.Name)
		return nil
	}
	p.printf("readings: %s; marks: ? unwitnessed, ! readings differ, !? no reader vouches for it, * ruled on, ~ withheld\n", strings.Join(c.Readers, ", "))
	return nil
}

func mark(c *extract.Collated) string {
	switch {
	case c.State == extract.Disputed:
		return "!"
	case c.State == extract.Doubtful:
		return "!?"
	case c.State == extract.Withheld:
		return "~"
	case c.Settled != nil:
		return "*"
	case c.State == extract.Unwitnessed && c.Text != "":
		return "?"
	}
	return ""
}

// each visits the cells in print order, given figures last.
func each(c *extract.Collation, visit func(*extract.Collated)) {
	for _, row := range append(slices.Clone(c.Rows), extract.Given) {
		for _, k := range c.Table.KeysOf(row) {
			if cell := c.Cell(row, k); cell != nil {
				visit(cell)
			}
		}
	}
}
