package fit

import (
	"encoding/json"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// reference runs a script with scipy and statsmodels on data, and reads its figures.
// The script has the data as d and prints lists of numbers by name.
func reference(t *testing.T, data any, script string) map[string][]float64 {
	t.Helper()
	python := "/usr/bin/python3" // Debian's, which sees Debian's packages
	if _, err := os.Stat(python); err != nil {
		python = "python3"
	}
	text, err := json.Marshal(data)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", "import json,sys\nimport numpy as np\nd=json.load(sys.stdin)\nout={}\n"+script+
		"\nprint(json.dumps({k:np.atleast_1d(v).astype(float).ravel().tolist() for k,v in out.items()}))")
	cmd.Stdin = strings.NewReader(string(text))
	var stderr strings.Builder
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("this test needs numpy, scipy and statsmodels: apt-get install python3-numpy python3-scipy python3-statsmodels\n%v\n%s", err, stderr.String())
	}
	var figures map[string][]float64
	if err := json.Unmarshal(out, &figures); err != nil {
		t.Fatalf("%v in %s", err, out)
	}
	return figures
}
