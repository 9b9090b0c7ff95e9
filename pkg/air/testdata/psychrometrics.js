// Moist air by psychrolib (npm install psychrolib), SI units.
// Run: node psychrometrics.js > psychrometrics.csv
const p = require("psychrolib");
const version = require("psychrolib/package.json").version;
p.SetUnitSystem(p.SI);
console.log("# npm psychrolib " + version + "; Hyland-Wexler saturation, ideal mixture, ASHRAE (2017) wet bulb");
console.log("celsius,humidity,pascal,saturation,dewpoint,wetbulb,density");
for (const pressure of [80000, 95000, 101325, 105000])
  for (const t of [1, 5, 10, 15, 20, 25, 30, 40, 55, 70])
    for (const h of [0.05, 0.2, 0.5, 0.8, 1]) {
      const w = p.GetHumRatioFromRelHum(t, h, pressure);
      const e = h * p.GetSatVapPres(t);
      if (e > pressure / 2) continue;
      const row = [t, h, pressure, p.GetSatVapPres(t), p.GetTDewPointFromRelHum(t, h), p.GetTWetBulbFromRelHum(t, h, pressure), p.GetMoistAirDensity(t, w, pressure)];
      console.log(row.join(","));
    }
