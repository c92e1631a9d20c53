package handbook

import "strings"

// Found is a topic that tells of what was searched for.
type Found struct {
	Heading
	Text string `json:"text"` // the first part of it that does
}

// Search returns the topics that hold every one of some words, in capitals or not, those
// that hold one in their title first. Examples are left out: they are commands.
//
// Errors: a topic that cannot be read.
func Search(words string) ([]Found, error) {
	asked := strings.Fields(strings.ToLower(words))
	if len(asked) == 0 {
		return nil, nil
	}
	var first, rest []Found
	for _, chapter := range Contents() {
		for _, heading := range chapter.Topics {
			topic, err := Read(heading.Name)
			if err != nil {
				return nil, err
			}
			found := Found{Heading: heading}
			title := strings.ToLower(heading.Title)
			whole := title
			for _, b := range topic.Blocks {
				if b.Kind == Example {
					continue
				}
				text := strings.ToLower(b.Text)
				if found.Text == "" && (holdsAny(text, asked) || holdsAny(title, asked) && b.Kind == Paragraph) {
					found.Text = b.Text
				}
				whole += "\n" + text
			}
			switch {
			case !holdsAll(whole, asked):
			case holdsAny(title, asked):
				first = append(first, found)
			default:
				rest = append(rest, found)
			}
		}
	}
	return append(first, rest...), nil
}

func holdsAll(text string, words []string) bool {
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

func holdsAny(text string, words []string) bool {
	for _, w := range words {
		if strings.Contains(text, w) {
			return true
		}
	}
	return false
}
