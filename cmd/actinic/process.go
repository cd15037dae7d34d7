package main

import (
	"errors"
	"io"
	"strings"

	"actinic/process/fault"
	"actinic/process/recipe"

	"github.com/spf13/cobra"
)

// newProcess returns the group of commands about process cards.
func newProcess(a *app) *cobra.Command {
	group := newGroup(&cobra.Command{
		Use:   "process COMMAND",
		Short: "Process cards: steps, starting figures, hazards",
		Long: `A process card says how a process is worked: sensitiser, steps, starting
exposure, usual exposure scale, which way round the film goes, contrast
controls, and the hazards of every chemical in it. Each figure stands with its
source. They are starting values: your own calibration replaces them.`,
		Example: `  actinic process list
  actinic process show vandyke`,
	})
	group.AddCommand(newProcessList(a), newProcessShow(a))
	return group
}

func newProcessList(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "list",
		Short: "The processes that have a card",
		Long: `Lists every process that has a card: its id, the film it needs, its exposure
scale (log10), its usual exposure (minutes) and its hazard level.

With --json: {"processes": [...]}, each a whole card.`,
		Example: "  actinic process list",
		Args:    exactly(),
		RunE: func(*cobra.Command, []string) error {
			return runProcessList(a)
		},
	}
}

// processList is what 'process list' prints with --json.
type processList struct {
	Processes []recipe.Card `json:"processes"`
}

func runProcessList(a *app) error {
	return a.print(processList{recipe.Cards()}, func(w io.Writer) error {
		return recipe.RenderList(w, a.width)
	})
}

func newProcessShow(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "show NAME",
		Short: "The card of one process",
		Long: `Shows the card of one process. NAME is its id, its name or a usual other name,
or the beginning of one as long as it fits one process only; capitals, spaces
and hyphens do not matter.

It also says what to watch for on the print, and where to look first.

With --json: {"process", "chemicals", "keep_apart", "watch_for": [{"sign",
"cause", "remedy", "look_at"}], "light_cautions", "caution"}.`,
		Example: `  actinic process show vandyke
  actinic process show "salted paper"
  actinic --json process show gum`,
		Args:              exactly("NAME"),
		ValidArgsFunction: completeProcess,
		RunE: func(_ *cobra.Command, args []string) error {
			return runProcessShow(a, args[0])
		},
	}
}

// processCard is what 'process show' prints with --json.
type processCard struct {
	Process       recipe.Card              `json:"process"`
	Chemicals     []recipe.Chemical        `json:"chemicals"`
	KeepApart     []recipe.Incompatibility `json:"keep_apart"`
	WatchFor      []recipe.PrintFault      `json:"watch_for"`
	LightCautions []recipe.Statement       `json:"light_cautions"`
	Caution       string                   `json:"caution"`
}

func runProcessShow(a *app, name string) error {
	card, err := findProcess(name)
	if err != nil {
		return err
	}
	chemicals, err := chemicalsOf(card)
	if err != nil {
		return err
	}
	value := processCard{
		Process:       card,
		Chemicals:     chemicals,
		KeepApart:     card.Incompatible(),
		WatchFor:      card.WatchFor(),
		LightCautions: card.LightCautions(),
		Caution:       recipe.StandingCaution(),
	}
	return a.print(value, func(w io.Writer) error { return card.Render(w, a.width) })
}

// findProcess returns the card that name on the command line means. A name
// that means none, or several, is a usage error.
func findProcess(name string) (recipe.Card, error) {
	card, err := recipe.Find(name)
	var user *fault.Error
	if errors.As(err, &user) {
		return card, &usageError{where: user.Where, what: user.What, hint: user.Hint}
	}
	return card, err
}

// chemicalsOf returns the chemicals of a card, optional ones included, in the
// card's order.
func chemicalsOf(card recipe.Card) ([]recipe.Chemical, error) {
	var list []recipe.Chemical
	for _, id := range card.ChemicalIDs(true) {
		chemical, err := recipe.FindChemical(id)
		if err != nil {
			return nil, err
		}
		list = append(list, chemical)
	}
	return list, nil
}

// completeProcess completes the id of a process.
func completeProcess(_ *cobra.Command, args []string, start string) ([]string, cobra.ShellCompDirective) {
	var ids []string
	for _, card := range recipe.Cards() {
		if len(args) == 0 && strings.HasPrefix(card.ID, start) {
			ids = append(ids, card.ID)
		}
	}
	return ids, cobra.ShellCompDirectiveNoFileComp
}
