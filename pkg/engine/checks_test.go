package engine_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
)

// Each formula of the package with its outside checks.
func TestFormulasHaveOutsideChecks(t *testing.T) {
	published.Table(t, ".", []published.Check{
		{Formula: "ChangeOfPower, ISO 1585", First: "TestStandardsAgainstDeratingRules: agricultural engineers' rules for temperature and altitude", Second: "TestStandardsAgainstDeratingRules: a light aircraft's engine at 13,300 ft",
			Tried: "the text of ISO 1585 and of UN Regulation No. 85, annex 5, was not seen; stored copies begin with its scope"},
		{Formula: "ChangeOfPower, SAE J1349", First: "TestSAEAgainstWorkshopTable: a maker's workshop table", Second: "TestStandardsAgainstDeratingRules: agricultural engineers' rules"},
		{Formula: "ChangeOfPower, DIN 70020", First: "TestRootOfTemperatureAndDryPressure: printed factors of the older American rule", Second: "TestStandardsAgainstDeratingRules: agricultural engineers' rules"},
		{Formula: "Metering.Shift, the air", First: "TestMixtureAgainstJettingRule: a jetting rule of the trade", Second: "",
			Tried: "the numbers of NACA TN-1874 were not found; a jet seller's table (jetsrus.com) says twice as much, 2 % for 10 °F at one size; the power allows a quarter of the shift for it"},
		{Formula: "Metering.Shift, air-correction jet", First: "", Second: "",
			Tried: "no measurement of a jet with emulsion tube over air density was found; between nothing and its largest, which the span and the power hold"},
		{Formula: "Metering.Shift, fuel's expansion", First: "TestFuelExpansion: a physics course", Second: "TestFuelExpansion: an engineer's answer and a chemistry page"},
		{Formula: "Metering.Shift, bowl's vent", First: "", Second: "",
			Tried: "the signals of 1.5 kPa to 10 kPa are common practice; no measurement of a bowl's vent in a duct was found; the span holds both vents where it is not known"},
		{Formula: "Fuel.StoichiometricRatio", First: "TestEthanol: published ratios of E0, E10, E85 and E100", Second: "TestEthanol: a mechanics' forum on fixed orifices"},
		{Formula: "PowerOfMixture", First: "TestPowerOverLambdaAgainstStone: Stone's figure as another read it", Second: "",
			Tried: "Heywood and Taylor from memory; trade texts give the best mixture alone, 12 to 13; the span of the best λ and of the loss is in the power"},
		{Formula: "Charge.Power", First: "TestPowerBudgetByHand: worked by hand", Second: "TestPowerBudgetAgainstMonteCarlo: random draws after JCGM 101"},
		{Formula: "AutoignitionDelay", First: "", Second: "",
			Tried: "two public engine models have the same constants, which is no check of the law; a shock tube's or rapid compression machine's table was not found; used for ratios only, as a bound, TestKnockModelIsABoundForPressureToo"},
		{Formula: "LivengoodWu", First: "", Second: "", Tried: "a published history with its integral was not found; no number shown uses it"},
		{Formula: "ShiftOfKnock", First: "TestShiftOfKnock: 1 octane number for 7 K, Russ 1996, abstract", Second: "TestShiftOfKnock: nothing for a reference fuel from 33 °C to 150 °C, Rockstroh as quoted",
			Tried: "a rule of 0.44 to 0.54 for 5.6 K is known from memory only; the range holds both"},
		{Formula: "IcingWarmLimit", First: "TestPublishedReadingsOfTheIcingChart: readings of the chart by pilots and a quiz", Second: "TestIcingWarmLimits: samples published beside the fit"},
		{Formula: "AssessIcing", First: "TestIcingEnvelope: texts of the authorities", Second: "TestPublishedReadingsOfTheIcingChart: readings of the chart"},
		{Formula: "Description.AirDemand", First: "TestAirDemand: worked outside", Second: "", Tried: "a definition; nothing to check but units"},
		{Formula: "FuelVapourPressure, and BoilingStart", First: "TestFuelVapourPressure: a chemist's flash of a mixture", Second: "TestFuelVapourPressure: a rule of thumb for tanks"},
		{Formula: "RatedCurve", First: "", Second: "", Tried: "a cubic through two rated points, common practice; no catalogue with a measured curve was to be had; no change of power uses it"},
	})
}
