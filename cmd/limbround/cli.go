package main

import "github.com/alecthomas/kong"

// cli is every verb and the settings shared by all; each verb stands in a file
// of its own.
type cli struct {
	store

	JSON    bool             `help:"Print one JSON object instead of text."`
	Version kong.VersionFlag `help:"Print the version and stop."`

	Demo     demoCmd     `cmd:"" help:"Make the invented city, run the whole loop, and serve the desks."`
	Serve    serveCmd    `cmd:"" help:"Serve the JSON API and the desks."`
	Worker   workerCmd   `cmd:"" help:"Run background jobs until stopped."`
	Migrate  migrateCmd  `cmd:"" help:"Bring the database to this program's schema."`
	Doctor   doctorCmd   `cmd:"" help:"Check what the program needs and say what to do about what is missing."`
	Settings settingsCmd `cmd:"" help:"Show or change the settings of the city."`

	City       cityCmd       `cmd:"" help:"Make an invented city as files."`
	Import     importCmd     `cmd:"" help:"Bring a layer or past work in from a file."`
	Policy     policyCmd     `cmd:"" help:"Check, adopt and list the city's rules."`
	Growth     growthCmd     `cmd:"" help:"Project one tree by the published curves."`
	Advise     adviseCmd     `cmd:"" help:"Say what to do with one branch: keep, reduce, remove, two steps, hold or stop."`
	Risk       riskCmd       `cmd:"" help:"Read the two published risk matrices for one defect and one target."`
	Due        dueCmd        `cmd:"" help:"Work out the open visits of all trees, each with its reasons."`
	Calendar   calendarCmd   `cmd:"" help:"Show the trips that the rules foresee for one tree."`
	Overdue    overdueCmd    `cmd:"" help:"Count overdue trees by district."`
	Year       yearCmd       `cmd:"" help:"Make, show and adopt the annual plan."`
	Packets    packetsCmd    `cmd:"" help:"Build, list, issue and print crew-day packets."`
	Jobs       jobsCmd       `cmd:"" help:"List, show and cancel background jobs."`
	Record     recordCmd     `cmd:"" help:"Bring in work records."`
	Reminders  remindersCmd  `cmd:"" help:"List what to see to by a day: warranties, parking signs, tickets."`
	Deviations deviationsCmd `cmd:"" help:"List and write down departures from the policy in force."`
	Token      tokenCmd      `cmd:"" help:"Give, list and end bearer tokens."`
}
