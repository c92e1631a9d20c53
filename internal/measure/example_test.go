package measure_test

import (
	"errors"
	"fmt"

	"skep/internal/measure"
)

func ExampleParse() {
	q, _ := measure.Parse("9 lb 3 oz", measure.US)
	fmt.Printf("%.0f g by %s, spread %.0f g\n", q.Value, q.Tool, q.SD)
	// Output: 4167 g by scale, spread 9 g
}

func ExampleParseError() {
	_, err := measure.Parse("2 cusp", measure.US)
	var fault *measure.ParseError
	if errors.As(err, &fault) {
		fmt.Println(fault)
		fmt.Println(fault.Marked())
		fmt.Println(fault.Hint)
	}
	// Output:
	// "cusp" is not a unit
	// 2 cusp
	//   ^^^^
	// did you mean "cups"?
}

func ExampleParseIngredient() {
	amount, rest, _ := measure.ParseIngredient("1 lb 9 oz of heather honey", measure.Imperial)
	fmt.Printf("%s of %q\n", measure.ShowMass(measure.Grams(amount.Value), measure.Metric), rest)
	// Output: 709 g of "heather honey"
}

func ExampleShowRange() {
	fmt.Println(measure.ShowRange(measure.Normal(11.38, 0.36, "% vol")))
	// Output: about 11.4 % vol, most likely 10.9 to 11.8
}
