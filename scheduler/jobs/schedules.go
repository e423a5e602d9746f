package jobs

import "limbround/scheduler"

// Schedules are those of every server and worker, on the city's clocks: the due
// visits are renewed each night, after the city's midnight has set a new today,
// with a look at every tree, whatever was noted as changed; reminders come in the
// morning; and on Thursday evening the packets of the next week are drafted,
// which leaves the dispatcher the Friday to work on them. After
// an outage the missed due passes run in the order of their nights, each as of its
// own night but on the facts as they are when it runs: facts have no night of their own.
func Schedules() []Schedule {
	const actor = "schedule"
	return []Schedule{
		{
			Name: "due", Spec: "15 2 * * *",
			Args: func(day scheduler.Date) scheduler.JobArgs { return DueArgs{AsOf: day, Full: true, Actor: actor} },
		},
		{
			Name: "reminders", Spec: "30 5 * * *",
			Args: func(day scheduler.Date) scheduler.JobArgs { return RemindArgs{Day: day, Actor: actor} },
		},
		{
			Name: "week draft", Spec: "0 18 * * 4",
			Args: func(day scheduler.Date) scheduler.JobArgs {
				return WeekDraftArgs{Monday: day.Monday().AddDays(7), Actor: actor}
			},
		},
	}
}
