package main

import (
	"io"

	"actinic/process/recipe"

	"github.com/spf13/cobra"
)

// coatOptions are the flags of 'coat'.
type coatOptions struct {
	processes   []string
	recipe      string
	size        sizeFlag
	prints      int
	coats       int
	coverage    coverageFlag
	loss        percentFlag
	dropsPerML  float64
	contrast    string
	parts       partsFlag
	prices      string
	rejects     percentFlag
	recipes     string
	writeRecipe string
}

// newCoat returns the command that says how much sensitiser to mix.
func newCoat(a *app) *cobra.Command {
	o := coatOptions{coats: 1, dropsPerML: recipe.UsualDropsPerML().Value, loss: percentFlag{recipe.UsualLoss().Value}}
	cmd := &cobra.Command{
		Use:   "coat --process P --size SIZE --prints N",
		Short: "How much sensitiser to mix, and how",
		Long:  coatLong,
		Example: `  actinic coat --process vandyke --size 8x10in --prints 12
  actinic coat --process platinum_dop --size 203x254mm --prints 4 --contrast average --drops-per-ml 22
  actinic coat --process palladium_dop --size 8x10in --prints 6 --contrast 1.55 --prices prices.csv --rejects 30%
  actinic coat --process ptpd_mix --size 5x7in --prints 3 --coverage rod --parts platinum=6,palladium=18
  actinic coat --process cyanotype --process vandyke --size 5x7in --prints 12
  actinic coat --process kallitype --write-recipe mine.json`,
		Args: exactly(),
		RunE: func(cmd *cobra.Command, _ []string) error { return runCoat(a, cmd, &o) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&o.processes, "process", nil, "coat for process `P`, as 'process list' names it; may be given several times")
	flags.Var(&o.size, "size", "the coated area of one print, `SIZE` as 8x10in or 203x254mm")
	flags.IntVar(&o.prints, "prints", 0, "coat `N` prints")
	flags.IntVar(&o.coats, "coats", o.coats, "coat each print `N` times")
	flags.Var(&o.coverage, "coverage", "how thickly: rod, brush, or `ML` for a square metre (default the card's typical coating)")
	flags.Var(&o.loss, "loss", "this share of what is mixed stays in the brush, `SHARE` as 15%; with --coverage rod, none")
	flags.Float64Var(&o.dropsPerML, "drops-per-ml", o.dropsPerML, "the dropper makes `N` drops of a millilitre")
	flags.StringVar(&o.contrast, "contrast", "", "contrast `SETTING` by its name; for palladium_dop also an exposure scale, as 1.55")
	flags.Var(&o.parts, "parts", "mix in other `PARTS`, by solution: platinum=6,palladium=18")
	flags.StringVar(&o.recipe, "recipe", "", "follow recipe `ID` instead of the usual one")
	flags.StringVar(&o.recipes, "recipes", "", "own recipes and processes, `FILE` in JSON; - is standard input")
	flags.StringVar(&o.writeRecipe, "write-recipe", "", "write the recipe to `FILE.json`, to start an own one from; - is standard output")
	flags.StringVar(&o.prices, "prices", "", "what it costs, by the prices in `FILE`: item,price,amount,unit,currency; - is standard input")
	flags.Var(&o.rejects, "rejects", "with --prices: this share of prints is thrown away, `SHARE` as 30%")
	return cmd
}

func runCoat(a *app, cmd *cobra.Command, o *coatOptions) error {
	if err := o.check(cmd); err != nil {
		return err
	}
	book, err := a.readBook(o.recipes)
	if err != nil {
		return err
	}
	if cmd.Flag("write-recipe").Changed && !cmd.Flag("size").Changed {
		return a.writeRecipe(o, book)
	}
	bench, err := recipe.CoatAll(o.plans(cmd, book)...)
	if err != nil {
		return asUsage(err)
	}
	if err := a.addCosts(o, bench); err != nil {
		return err
	}
	if o.writeRecipe != "" {
		if err := a.writeRecipe(o, book); err != nil || o.writeRecipe == standardStream {
			return err
		}
	}
	return a.print(bench, func(w io.Writer) error { return bench.Render(w, a.width) })
}

// check refuses flags that do not go together.
func (o *coatOptions) check(cmd *cobra.Command) error {
	set := func(name string) bool { return cmd.Flag(name).Changed }
	switch {
	case len(o.processes) == 0:
		return missingFlag(cmd, "process")
	case set("write-recipe") && !set("size") && !set("prints"):
	case !set("size"):
		return missingFlag(cmd, "size")
	case !set("prints"):
		return missingFlag(cmd, "prints")
	}
	if set("rejects") && o.prices == "" {
		return &usageError{where: "--rejects", what: "it only matters for the cost", hint: "add --prices FILE"}
	}
	if o.prices == standardStream && o.recipes == standardStream {
		return &usageError{where: "--prices", what: "standard input is --recipes already", hint: "name a file for one of them"}
	}
	for _, name := range []string{"recipe", "contrast", "parts", "write-recipe"} {
		if len(o.processes) > 1 && set(name) {
			return &usageError{where: "--" + name, what: "it belongs to one process, and several were named", hint: "run 'actinic coat' once for each process"}
		}
	}
	if set("coats") && o.coats < 1 || set("drops-per-ml") && o.dropsPerML == 0 {
		return &usageError{what: "--coats and --drops-per-ml must be above 0", hint: usageHint(cmd)}
	}
	return nil
}

// plans returns what to work out, one plan for each process.
func (o *coatOptions) plans(cmd *cobra.Command, book *recipe.Book) []recipe.CoatPlan {
	loss := o.loss.fraction
	if !cmd.Flag("loss").Changed {
		loss = o.coverage.loss(loss)
	}
	var plans []recipe.CoatPlan
	for _, process := range o.processes {
		plans = append(plans, recipe.CoatPlan{
			Process: process, Recipe: o.recipe, WidthMM: o.size.widthMM, HeightMM: o.size.heightMM,
			Prints: o.prints, Coats: o.coats, Coverage: o.coverage.name, MLPerM2: o.coverage.mlPerM2,
			LossFraction: loss, DropsPerML: o.dropsPerML, Contrast: o.contrast, Parts: o.parts.byName, Book: book,
		})
	}
	return plans
}

// readBook reads the user's own recipes; without a file it is what is built in.
func (a *app) readBook(name string) (*recipe.Book, error) {
	if name == "" {
		return recipe.BuiltIn(), nil
	}
	in, err := a.openInput(name)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return recipe.ReadBook(in, inputName(name))
}

// addCosts adds what each coating costs.
func (a *app) addCosts(o *coatOptions, bench *recipe.Bench) error {
	if o.prices == "" {
		return nil
	}
	in, err := a.openInput(o.prices)
	if err != nil {
		return err
	}
	defer in.Close()
	prices, err := recipe.ReadPrices(in, inputName(o.prices))
	if err != nil {
		return err
	}
	for _, c := range bench.Coatings {
		if err := c.AddCost(prices, o.rejects.fraction); err != nil {
			return err
		}
	}
	return nil
}

// writeRecipe writes the recipe of the plan in the form that --recipes takes.
func (a *app) writeRecipe(o *coatOptions, book *recipe.Book) error {
	r, err := book.Recipe(o.processes[0], o.recipe)
	if err != nil {
		return asUsage(err)
	}
	return a.writeOutput(o.writeRecipe, textContent, []string{o.recipes, o.prices}, func(w io.Writer) error {
		return recipe.WriteRecipes(w, r)
	})
}
