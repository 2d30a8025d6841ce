//go:build !unix

package ocr

import "os/exec"

func ownGroup(*exec.Cmd) {}

func killGroup(cmd *exec.Cmd) { _ = cmd.Process.Kill() } // it may be gone already

func killRest(*exec.Cmd) {}
