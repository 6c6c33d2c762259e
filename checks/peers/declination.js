// What geomagnetism says of the earth's field on a grid of places. Writes CSV.
const geomagnetism = require("geomagnetism");

console.log("year,lat_deg,lon_deg,height_km,declination_deg,horizontal_nT");
for (const year of [2025, 2027, 2029]) {
  const model = geomagnetism.model(new Date(Date.UTC(year, 0, 1)));
  for (let lat = -80; lat <= 80; lat += 10) {
    for (let lon = -180; lon < 180; lon += 15) {
      for (const km of [0, 2.5]) {
        const field = model.point([lat, lon, km]);
        console.log([year, lat, lon, km, field.decl, field.h].join(","));
      }
    }
  }
}
