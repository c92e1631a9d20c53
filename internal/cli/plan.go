package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"skep/internal/app"
	"skep/internal/measure"
)

func (d *door) planCommand() *cobra.Command {
	var w app.PlanWords
	var sheet, keep bool
	c := &cobra.Command{
		Use:   "plan [NAME]",
		Short: "What a jug can become, from what is in the kitchen",
		Long: `Work out how much honey and water a jug takes to become what you want, what it
becomes, when, and how many bottles it fills. Say the jug, and one of: a strength, an
original gravity, a sweetness, or how much honey to use.

A sweetness beside a strength means: ferment it dry, stabilise it, then sweeten. Alone
it means: so much honey that the yeast stops before it is gone.

With a NAME and --keep the plan is kept: skep plan NAME shows it again, and
skep start JUG --plan NAME makes it.`,
		Example: `  skep plan --units us --jug "1 gal" --strength 12 --with "4 cups elderflower" --with "1 lemon" --yeast champagne
  skep plan blackberry --jug "5 L" --honey "heather honey" --gravity 1.090 --with "800 g blackberries" --yeast "red wine" --keep
  skep plan --jug "4.5 L" --use "1.2 kg" --sweet medium --price "honey 12 per kg" --price "yeast 2 each" --bottle "500 mL"
  skep plan blackberry --sheet`,
		Args: atMostOne("a name for the plan"),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				w.Name = args[0]
			}
			if keep && w.Name == "" {
				return &usageError{err: fmt.Errorf("--keep needs a name"), hint: `write skep plan "elderflower 2026" … --keep`}
			}
			return d.withCellar(func(cellar *app.Cellar) error { return d.plan(cellar, w, sheet, keep) })
		},
	}
	f := c.Flags()
	f.StringVar(&w.Jug, "jug", "", `the vessel: its size, "1 gal" or "4.5 L", or its name in your kitchen`)
	f.StringArrayVar(&w.With, "with", nil, `what goes in beside honey and water, one each: "4 cups elderflower", "1 lemon"`)
	f.StringVar(&w.Honey, "honey", "", `which honey, sugar or syrup: "heather honey" (default honey)`)
	f.StringVar(&w.Use, "use", "", `use exactly this much of it: "1.2 kg", "3 lb", "3 cups"`)
	f.StringVar(&w.OnHand, "on-hand", "", `there is no more of it than this: "900 g"`)
	f.StringVar(&w.Strength, "strength", "", `strength wanted: 12, "12 %vol"`)
	f.StringVar(&w.Gravity, "gravity", "", "original gravity wanted: 1.090")
	f.StringVar(&w.Sweet, "sweet", "", "dry, off-dry, medium, sweet, or a final gravity: 1.012")
	f.StringVar(&w.Yeast, "yeast", "", `kind of yeast: "champagne", "cider", "mead"`)
	f.StringVar(&w.Room, "room", "", `temperature where it will stand: "19 C", "66 F" (default 20 C)`)
	f.StringVar(&w.Fill, "fill", "", `make this much: "4.2 L" (default all but the head room)`)
	f.StringVar(&w.Headroom, "headroom", "", `leave this much empty for foam: "300 mL" (default 6 % of the jug, 20 % with fruit)`)
	f.StringVar(&w.Heat, "heat", "", "none, warm or infuse (default infuse with flowers or spices, else none)")
	f.StringArrayVar(&w.Prices, "price", nil, `a price, one each: "honey 12 per kg", "lemon 0.40 each", "yeast 2 each"`)
	f.StringArrayVar(&w.Bottles, "bottle", nil, `a size of bottle, one each: "750 mL", "6 x 500 mL" (default 750 mL)`)
	f.BoolVar(&sheet, "sheet", false, "brew day step by step")
	f.BoolVar(&keep, "keep", false, "keep the plan under its name")
	d.completeFlag(c, "yeast", func(*app.Cellar) ([]string, error) { return app.YeastNames(), nil })
	d.completeFlag(c, "honey", func(cellar *app.Cellar) ([]string, error) { return cellar.IngredientNames(d.ctx) })
	d.completeFlag(c, "sweet", words("dry", "off-dry", "medium", "sweet"))
	d.completeFlag(c, "heat", words(string(app.NoHeat), string(app.Warmed), string(app.Infuse)))
	c.ValidArgsFunction = func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return d.names(d.planNames)
	}
	return c
}

func words(all ...string) func(*app.Cellar) ([]string, error) {
	return func(*app.Cellar) ([]string, error) { return all, nil }
}

// atMostOne takes one word after the command, or none.
func atMostOne(name string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) == 0 {
			return nil
		}
		return exactly(name)(c, args)
	}
}

// plan makes a plan, or shows the kept one when only a name is told.
func (d *door) plan(cellar *app.Cellar, w app.PlanWords, sheet, keep bool) error {
	var p app.Plan
	var err error
	if w.Jug == "" && w.Name != "" && !keep {
		p, err = cellar.KeptPlan(d.ctx, w.Name)
	} else {
		p, err = cellar.Plan(d.ctx, w)
	}
	if err != nil {
		return err
	}
	if keep {
		if err := cellar.KeepPlan(d.ctx, w.Name, p); err != nil {
			return err
		}
	}
	if !sheet {
		return d.answer(p, func(page *page) { showPlan(page, p, keep) })
	}
	s, err := cellar.Sheet(d.ctx, p)
	if err != nil {
		return err
	}
	return d.answer(struct {
		Plan  app.Plan  `json:"plan"`
		Sheet app.Sheet `json:"sheet"`
	}{p, s}, func(page *page) { showSheet(page, s) })
}

func showPlan(p *page, plan app.Plan, kept bool) {
	name := plan.Name
	if name == "" {
		name = "Plan"
	}
	p.title("%s: %.2f L in a jug of %.2f L", name, plan.Fill.Value, plan.Vessel.Litres)
	for _, a := range plan.Amounts {
		showAmount(p, a)
	}
	p.row("yeast", "%s", plan.Yeast)
	if plan.Sweeten != nil {
		p.row("later, to sweeten", "%s of %s, once the wine is stable", plan.Sweeten.Metric, plan.Sweeten.Ingredient)
	}

	p.title("It becomes")
	is := plan.Prospect
	p.row("original gravity", "%s", measure.ShowRange(is.Gravity))
	p.row("strength", "%s", measure.ShowRange(is.Strength))
	p.row("final gravity", "%s", measure.ShowRange(is.Final))
	p.row("sugar left", "%s", measure.ShowRange(is.Sugar))
	if plan.PH.Known() {
		p.row("pH", "about %.1f, most likely %.1f to %.1f", plan.PH.Value, plan.PH.Low, plan.PH.High)
	}
	p.row("into bottles", "%s: %s", measure.ShowRange(is.Bottled), showFills(plan))

	p.title("When, if the yeast goes in today")
	for _, m := range plan.Timeline {
		p.row(m.What, "%s", showMilestone(m))
	}
	showNutrient(p, plan.Nutrient, is.Nitrogen)
	if plan.Cost != nil {
		showCost(p, *plan.Cost)
	}
	if len(plan.Warnings)+len(plan.Assumed) > 0 {
		p.WriteString("\n")
	}
	for _, w := range plan.Warnings {
		p.item("Careful:", "%s.", w)
	}
	for _, a := range plan.Assumed {
		p.item("Assumed:", "%s.", a)
	}
	if kept {
		p.WriteString("\n")
		p.say("Kept. Brew day: skep plan %q --sheet", plan.Name)
	}
}

func showAmount(p *page, a app.Amount) {
	text := a.Metric + " = " + a.Weight
	if a.Metric == a.Weight {
		text = a.Metric
	}
	if a.Kitchen != "" {
		text += " = " + a.Kitchen
	}
	if a.Ingredient == "water" {
		text += ", up to the mark"
	}
	p.row(a.Ingredient, "%s", text)
}

func showFills(plan app.Plan) string {
	var fills []string
	for _, f := range plan.Bottles.Central {
		fills = append(fills, fmt.Sprintf("%d x %d mL", f.Count, f.ML))
	}
	if fills == nil {
		return "no full bottle"
	}
	count := func(low bool) int {
		n, of := 0, plan.Bottles.Central
		if low {
			of = plan.Bottles.Low
		}
		for _, f := range of {
			n += f.Count
		}
		return n
	}
	text := strings.Join(fills, ", ")
	if low := count(true); low < count(false) {
		text += fmt.Sprintf(" (%d bottles at the least)", low)
	}
	return text
}

func showMilestone(m app.Milestone) string {
	if !m.Days.Known() {
		return "not known"
	}
	text := fmt.Sprintf("day %.0f (%.0f to %.0f), %s", m.Days.Value, m.Days.Low, m.Days.High, m.Dates.Day.Format("2 January"))
	if m.Dates.Chance < 0.9 {
		text += fmt.Sprintf("; in %.0f of 100 cases not within five months", 100*(1-m.Dates.Chance))
	}
	return text
}

func showNutrient(p *page, n app.NutrientPlan, present measure.Range) {
	p.title("Feeding the yeast")
	p.row("nitrogen", "in the must %s; wanted %s", measure.ShowRange(present), measure.ShowRange(n.Need))
	if n.Grams == 0 {
		p.row("nothing to add", "the must holds enough")
		return
	}
	for _, f := range n.Feedings {
		p.row(fmt.Sprintf("day %g", f.Day), "%s", f.Words)
	}
	p.row("how sure", "%s", n.Note)
	p.row("or", "%s", n.Otherwise)
}

func showCost(p *page, k app.Cost) {
	p.title("Cost")
	for _, l := range k.Lines {
		p.row(l.What, "%.2f", l.Price)
	}
	p.row("in all", "%.2f, %.2f a bottle", k.Total, k.PerBottle)
	if len(k.Unpriced) > 0 {
		p.row("without a price", "%s", strings.Join(k.Unpriced, ", "))
	}
}

func showSheet(p *page, s app.Sheet) {
	name := s.Name
	if name == "" {
		name = "Brew day"
	}
	p.title("%s, step by step", name)
	for i, step := range s.Steps {
		head := fmt.Sprintf("%d. %s", i+1, step.Title)
		when := step.When
		if step.Minutes.Known() {
			when += fmt.Sprintf(", %.0f to %.0f minutes", step.Minutes.Low, step.Minutes.High)
		}
		fmt.Fprintf(p, "\n%s (%s)\n", head, when)
		for _, a := range step.Quantities {
			showAmount(p, a)
		}
		for _, do := range step.Do {
			p.item("  [ ]", "%s", do)
		}
		for _, caution := range step.Caution {
			p.item("  !", "%s", caution)
		}
	}
	if len(s.Warnings) > 0 {
		p.WriteString("\n")
	}
	for _, w := range s.Warnings {
		p.item("Careful:", "%s.", w)
	}
}

// showCheck tells whether what was weighed and what was read agree.
func showCheck(p *page, r *app.BrewDayResult) {
	mark := "Check:"
	if !r.Agree {
		mark = "Careful:"
	}
	p.item(mark, "%s", r.Sentence)
}
