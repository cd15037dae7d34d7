package main

import (
	"errors"
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/spf13/cobra"
)

// evenValue is a flag of our own kind: it words its errors itself.
type evenValue string

func (v *evenValue) Set(text string) error {
	if text != "even" {
		return fmt.Errorf("expected even")
	}
	*v = evenValue(text)
	return nil
}
func (v *evenValue) String() string { return string(*v) }
func (v *evenValue) Type() string   { return "even" }

// newProbe returns a command with one flag of each kind that takes IN...
func newProbe() *cobra.Command {
	cmd := &cobra.Command{
		Use: "probe IN...", Args: atLeastOne("IN"), DisableFlagsInUseLine: true,
		SilenceErrors: true, SilenceUsage: true,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flag("out").Value.String() == "" {
				return missingFlag(cmd, "out")
			}
			return nil
		},
	}
	cmd.SetFlagErrorFunc(flagError)
	cmd.Flags().Float64("gap", 0, "leave `MM` millimetres between negatives")
	cmd.Flags().Bool("fit", false, "turn the picture when that fits better")
	cmd.Flags().String("out", "", "write the negative to `FILE`")
	cmd.Flags().Var(new(evenValue), "even", "an `EVEN` word")
	return cmd
}

func TestUsageErrors(t *testing.T) {
	tests := []struct {
		args []string
		want usageError
	}{
		{nil, usageError{"", "IN is missing", "write it as: probe IN..."}},
		{[]string{"a"}, usageError{"", "--out is missing", "add --out FILE: write the negative to FILE"}},
		{[]string{"--gap", "wide", "a"}, usageError{"--gap", `"wide" is not a number`, "write --gap MM: leave MM millimetres between negatives"}},
		{[]string{"--fit=maybe"}, usageError{"--fit", `"maybe" is not true or false`, "write --fit: turn the picture when that fits better"}},
		{[]string{"--even", "odd"}, usageError{"--even", `"odd": expected even`, "write --even EVEN: an EVEN word"}},
		{[]string{"--gap"}, usageError{"--gap", "its value is missing", "write --gap MM: leave MM millimetres between negatives"}},
		{[]string{"--gpa", "1"}, usageError{"", "unknown flag --gpa", "did you mean '--gap'?"}},
		{[]string{"-xyz"}, usageError{"", "unknown flag -x", "'probe --help' lists the flags"}},
		{[]string{"--=x"}, usageError{"", "bad flag syntax: --=x", "write it as: probe IN..."}},
	}
	for _, test := range tests {
		cmd := newProbe()
		cmd.SetArgs(append([]string{}, test.args...))
		var got *usageError
		if err := cmd.Execute(); !errors.As(err, &got) {
			t.Errorf("%q: error %v, want a usage error", test.args, err)
			continue
		}
		if diff := cmp.Diff(test.want, *got, cmp.AllowUnexported(usageError{})); diff != "" {
			t.Errorf("%q (-want +got):\n%s", test.args, diff)
		}
	}
	cmd := newProbe()
	cmd.SetArgs([]string{"a", "b", "--out", "x.tif", "--even", "even"})
	if err := cmd.Execute(); err != nil {
		t.Errorf("a right command line gave %v", err)
	}
}
