package air_test

import (
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/internal/published"
)

// Each formula of the package with its outside checks.
func TestFormulasHaveOutsideChecks(t *testing.T) {
	published.Table(t, ".", []published.Check{
		{Formula: "DryDensity", First: "TestDryDensity: ρ₀ of ISO 2533", Second: "TestIdealMixtureAgainstG810: dry rows of IAPWS G8-10"},
		{Formula: "Density, and State.Density", First: "TestIdealMixtureAgainstG810: IAPWS G8-10 by python3-iapws", Second: "TestDensityHandbookHotAir: a handbook's table at 20 °C to 60 °C"},
		{Formula: "CIPM2007.Density", First: "TestCIPM2007AgainstOIMLR111: OIML R 111's own approximation", Second: "TestIdealMixtureAgainstG810: IAPWS G8-10 by python3-iapws"},
		{Formula: "SaturationFormula.VapourPressure, Hyland and Wexler", First: "TestSaturationAgainstIF97: IAPWS-IF97 by python3-iapws", Second: "TestSaturationAgainstIAPWS95: IAPWS-95 by python3-iapws"},
		{Formula: "SaturationFormula.VapourPressure, Buck", First: "TestSaturationAgainstIF97: IAPWS-IF97", Second: "TestSaturationAgainstIAPWS95: IAPWS-95"},
		{Formula: "SaturationFormula.VapourPressure, Magnus", First: "TestSaturationAgainstIF97: IAPWS-IF97", Second: "TestSaturationAgainstIAPWS95: IAPWS-95"},
		{Formula: "SaturationFormula.VapourPressure, Bolton", First: "TestSaturationPrinted: MetPy's printed value", Second: "TestSaturationAgainstIAPWS95: IAPWS-95"},
		{Formula: "SaturationVapourPressure, over supercooled water", First: "", Second: "", Tried: "TestSaturationPrinted has Goff and Gratch's table from memory; IAPWS gives ice only; 1 % is allowed, which in air below 0 °C is 0.006 % of density"},
		{Formula: "DewPoint, and NewStateFromDewPoint", First: "TestPsychrolib: psychrolib's iteration", Second: "TestSaturationAgainstIAPWS95: saturation of IAPWS-95 read backwards"},
		{Formula: "WetBulb", First: "TestPsychrolib: psychrolib", Second: "TestPsychrometer: ASHRAE's chart 1 at 25 °C and 18 °C"},
		{Formula: "PsychrometerVapourPressure", First: "TestPsychrometer: ASHRAE's chart 1 at 25 °C and 18 °C", Second: "TestPsychrometerAgainstWetBulb: enthalpies of psychrolib"},
		{Formula: "GeopotentialFromGeometric", First: "TestStandardAtmosphereFluids: python3-fluids", Second: "TestStandardAtmosphereTable: printed table of the 1976 atmosphere"},
		{Formula: "StandardAtGeopotential", First: "TestStandardAtmosphereFluids: python3-fluids", Second: "TestStandardAtmosphereTable: printed table of the 1976 atmosphere"},
		{Formula: "StationPressure, and QNH", First: "TestStationPressure: the standard atmosphere at QNH 1013.25 hPa", Second: "TestStationPressure: the ratio rule at QNH 1020 hPa"},
		{Formula: "State.Heated, and RelativeHumidityAt", First: "TestHeatedKeepsVapour: steam tables", Second: "TestIdealMixtureAgainstG810: IAPWS G8-10 at one humidity ratio and many temperatures"},
	})
}
