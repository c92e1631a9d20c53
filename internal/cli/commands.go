package cli

import "github.com/spf13/cobra"

// jugCommands are what a person does with a jug, in the order of its life.
func (d *door) jugCommands() []*cobra.Command {
	return []*cobra.Command{
		d.planCommand(), d.startCommand(), d.pitchCommand(), d.lookCommand(), d.addCommand(),
		d.rackCommand(), d.moveCommand(), d.trialCommand(), d.finishCommand(), d.blendCommand(), d.bottleCommand(), d.tasteCommand(),
	}
}

// knowCommands are questions.
func (d *door) knowCommands() []*cobra.Command {
	return []*cobra.Command{
		d.todayCommand(), d.calcCommand(), d.handbookCommand(), d.forecastCommand(), d.rescueCommand(), d.historyCommand(), d.shelfCommand(), d.demoCommand(),
	}
}

// keepCommands are for the record and the kitchen.
func (d *door) keepCommands() []*cobra.Command {
	return []*cobra.Command{
		d.serveCommand(), d.cardCommand(), d.calendarCommand(), d.kitchenCommand(), d.withdrawCommand(), d.backupCommand(), d.restoreCommand(), d.checkCommand(), d.exportCommand(), d.importCommand(),
	}
}
