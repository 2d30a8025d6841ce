package extract

import "testing"

// A flap of two kinds is both, joined by a plus sign; nothing is said twice, and what
// says that there is no flap stands alone.
func TestFlapType(t *testing.T) {
	for text, want := range map[string]bool{
		"none": true, "not-stated": true, "split": true, "slotted+area-increasing": true, "plain+other": true,
		"": false, "fowl": false, "slotted+": false, "split+split": false, "none+split": false, "split+not-stated": false, "slotted + plain": false,
	} {
		if got := FlapType(text); got != want {
			t.Errorf("FlapType(%q) is %v, want %v", text, got, want)
		}
	}
}
