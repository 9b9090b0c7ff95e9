// Package verdict goes the whole way from a campaign to its answer in one
// call: open and align the drives, find each thermostat's opening, cut, take
// the rises, compare the two configurations, say what that is worth and what
// to measure next.
//
//	a, err := verdict.Open("campaign.toml", verdict.Question{})
//
// Each step is public as well, for those who want to look in between:
// [campaign.Campaign.Gather], [Cut], [compare.Rises],
// [compare.Configurations], [WorthAtFullThrottle] and [plan.Next].
//
// Every step goes on with the drives that hold. Those left out stand in the
// answer, with the step and the reason.
package verdict
