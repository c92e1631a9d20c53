package cli

import "github.com/spf13/cobra"

// jugCommands are what a person does with a jug.
func (d *door) jugCommands() []*cobra.Command {
	return []*cobra.Command{}
}

// knowCommands are questions.
func (d *door) knowCommands() []*cobra.Command {
	return []*cobra.Command{}
}

// keepCommands are for the record and the kitchen.
func (d *door) keepCommands() []*cobra.Command {
	return []*cobra.Command{}
}
