// Rows of JSON as tables in CSV.
#include <catch2/catch.hpp>

#include "cli/json_rows.hpp"

using stile::tools::csv_tables;
using stile::tools::Json;

TEST_CASE("rows of JSON are tables with a column for every member, ranges and places in parts, rows within rows by "
          "themselves") {
  const Json rows = Json::parse(R"([
    {"band": "40 m", "condition": "dry", "v": 0.1, "range_w": [1.5, 2], "point_m": [0, -0.25, 1e-9], "in_model": true,
     "left_out": ["a, b", "c"], "pole": null, "limbs": [{"where": "foot", "a": 3}, {"where": "hand", "a": 4}]},
    {"band": "40 m", "condition": "wet", "v": null, "pole": {"length_m": 6}, "limbs": [], "late": 7}])");
  CHECK(csv_tables("body", rows) ==
        "# body,band,condition,v,range_w.low,range_w.high,point_m.x,point_m.y,point_m.z,in_model,left_out,pole,"
        "pole.length_m,late\n"
        "# body,40 m,dry,0.1,1.5,2,0,-0.25,1e-09,true,\"a, b; c\",,,\n"
        "# body,40 m,wet,,,,,,,,,,6,7\n"
        "# body limbs,band,condition,where,a\n"
        "# body limbs,40 m,dry,foot,3\n"
        "# body limbs,40 m,dry,hand,4\n");
  CHECK(csv_tables("body", Json::array()).empty());
}
