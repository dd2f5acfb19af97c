// stile-net as a user runs it.

#include <map>
#include <sys/resource.h>

#include <cmath>
#include <complex>

#include <stile/base/table.hpp>

#include "programs.hpp"

using programs::Folder;

namespace {

double relative(double value, double expected) { return std::abs(value / expected - 1.0); }

}  // namespace

TEST_CASE("stile-net gives the fixed keys and a known impedance") {
  // 2.2 uH (Q 200) in series, then 470 pF (loss tangent 1/1000) across 20-300j ohm at 7.1 MHz: closed form in decimal
  // arithmetic, y = w C (j + tan) + 1/z_load, z = w L (j + 1/Q) + 1/y.
  const Folder folder;
  const auto run = folder.run("stile-net --frequency 7.1MHz --source 50 --power 5W --load 20-300j "
                              "--series L=2.2uH,Q=200 --shunt C=470pF,tan=0.001 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.err.empty());
  const auto json = run.json();
  CHECK(json.at("tool") == "stile-net");
  CHECK(json.at("version").is_string());
  REQUIRE(json.at("points").size() == 1);
  const auto& point = json.at("points").at(0);
  CHECK(point.at("frequency_hz") == 7.1e6);
  CHECK(point.at("load_ohm") == nlohmann::json({20.0, -300.0}));
  CHECK(relative(point.at("input_ohm").at(0), 0.901341261765) <= 1e-12);
  CHECK(relative(point.at("input_ohm").at(1), 56.9707403637) <= 1e-12);

  const std::complex<double> z(point.at("input_ohm").at(0), point.at("input_ohm").at(1)), g = (z - 50.0) / (z + 50.0);
  CHECK(std::abs(std::complex<double>(point.at("reflection").at(0), point.at("reflection").at(1)) - g) <= 1e-12);
  CHECK(relative(point.at("swr"), (1.0 + std::abs(g)) / (1.0 - std::abs(g))) <= 1e-10);
  CHECK(point.at("power").at("available_w") == 5.0);
  CHECK(relative(point.at("power").at("accepted_w"), 5.0 * (1.0 - std::norm(g))) <= 1e-10);
  double heat = 0.0;
  for (const auto& element : point.at("elements")) heat += element.at("dissipation_w").get<double>();
  CHECK(relative(point.at("power").at("delivered_w").get<double>() + heat, point.at("power").at("accepted_w")) <=
        1e-12);
  const auto& loss = point.at("loss");
  CHECK(relative(loss.at("mismatch_db").get<double>() + loss.at("dissipation_db").get<double>(),
                 loss.at("transducer_db")) <= 1e-12);

  const auto& coil = point.at("elements").at(0);
  CHECK(coil.at("label") == "L1");
  CHECK(coil.at("place") == "series");
  CHECK(coil.at("kind") == "inductor");
  CHECK(coil.at("value") == 2.2e-6);
  CHECK(relative(std::pow(coil.at("current_a_rms").get<double>(), 2) * z.real(), point.at("power").at("accepted_w")) <=
        1e-10);
  CHECK(coil.at("voltage_v_peak").get<double>() > 0.0);
  CHECK(point.at("elements").at(1).at("place") == "shunt");
  CHECK(json.at("cautions").size() >= 3);
  for (const char* key : {"hazard", "text", "basis"}) CHECK(json.at("cautions").at(0).at(key).is_string());
}

TEST_CASE("elements of different options stand in the order given") {
  const Folder folder;
  const std::string common = "stile-net --frequency 7.1MHz --load 20-300j --json ";
  const auto kinds = [&](const std::string& parts) {
    std::string all;
    const auto json = folder.run(common + parts).json();
    for (const auto& element : json.at("points").at(0).at("elements")) {
      all += element.at("place").get<std::string>() + " " + element.at("kind").get<std::string>() + ",";
    }
    return all;
  };
  CHECK(kinds("--series L=1uH --shunt C=1nF --series=C=1nF --line RG-58,2m --shunt R=1kohm --transformer 2:1 --series "
              "Z=1+2j") == "series inductor,shunt capacitor,series capacitor,cascade line,shunt resistor,cascade "
                           "transformer,series impedance,");
  CHECK(kinds("--shunt C=1nF --series L=1uH") == "shunt capacitor,series inductor,");
  const auto impedance = [&](const std::string& parts) {
    return folder.run(common + parts).json().at("points").at(0).at("input_ohm");
  };
  CHECK(impedance("--shunt C=1nF --series L=1uH") != impedance("--series L=1uH --shunt C=1nF"));
}

TEST_CASE("numbers of JSON and CSV are the same doubles") {
  const Folder folder;
  const std::string command =
      "stile-net --sweep 7MHz:7.2MHz:3 --frequency 7.15MHz --load 20-300j --series L=5uH,Q=200,label='a\"b' ";
  const auto json = folder.run(command + "--json").json();
  const auto csv = folder.run(command + "--csv");
  REQUIRE(csv.status == 0);
  const stile::Table table = stile::read_table(csv.out, "out.csv");
  REQUIRE(table.rows.size() == 4);
  REQUIRE(json.at("points").size() == 4);
  CHECK(table.number(2, "frequency_hz") == 7.15e6);
  for (std::size_t n = 0; n < 4; ++n) {
    const auto& point = json.at("points").at(n);
    CHECK(table.number(n, "frequency_hz") == point.at("frequency_hz"));
    CHECK(table.number(n, "load_x_ohm") == point.at("load_ohm").at(1));
    CHECK(table.number(n, "input_r_ohm") == point.at("input_ohm").at(0));
    CHECK(table.number(n, "reflection_im") == point.at("reflection").at(1));
    CHECK(table.number(n, "swr") == point.at("swr"));
    CHECK(table.number(n, "delivered_w") == point.at("power").at("delivered_w"));
    CHECK(table.number(n, "transducer_db") == point.at("loss").at("transducer_db"));
    CHECK(table.number(n, "second_harmonic_db") == point.at("second_harmonic_db"));
    CHECK(table.number(n, "a\"b_voltage_v_peak") == point.at("elements").at(0).at("voltage_v_peak"));
  }
  CHECK(csv.out.find("\n# caution: RF burn: ") != std::string::npos);
}

TEST_CASE("every column of the CSV is the figure of its name in the JSON, and both follow from load and input") {
  const Folder folder;
  const std::string command =
      "stile-net --sweep 7MHz:7.2MHz:3 --load 20-300j --power 8W --shunt C=300pF,Q=500 --series L=5uH,Q=200,label=L1 ";
  const auto json = folder.run(command + "--json").json();
  const stile::Table table = stile::read_table(folder.run(command + "--csv").out, "out.csv");
  const std::map<std::string, std::string> places{{"frequency_hz", "/frequency_hz"},
                                                  {"load_r_ohm", "/load_ohm/0"},
                                                  {"load_x_ohm", "/load_ohm/1"},
                                                  {"input_r_ohm", "/input_ohm/0"},
                                                  {"input_x_ohm", "/input_ohm/1"},
                                                  {"reflection_re", "/reflection/0"},
                                                  {"reflection_im", "/reflection/1"},
                                                  {"swr", "/swr"},
                                                  {"available_w", "/power/available_w"},
                                                  {"accepted_w", "/power/accepted_w"},
                                                  {"delivered_w", "/power/delivered_w"},
                                                  {"mismatch_db", "/loss/mismatch_db"},
                                                  {"dissipation_db", "/loss/dissipation_db"},
                                                  {"transducer_db", "/loss/transducer_db"},
                                                  {"loaded_q", "/loaded_q"},
                                                  {"second_harmonic_db", "/second_harmonic_db"},
                                                  {"third_harmonic_db", "/third_harmonic_db"},
                                                  {"load_current_a_rms", "/load_current_a_rms"},
                                                  {"load_voltage_v_peak", "/load_voltage_v_peak"},
                                                  {"L1_current_a_rms", "/elements/1/current_a_rms"},
                                                  {"L1_voltage_v_peak", "/elements/1/voltage_v_peak"},
                                                  {"L1_dissipation_w", "/elements/1/dissipation_w"}};
  REQUIRE(table.rows.size() == 3);
  for (std::size_t n = 0; n < 3; ++n) {
    const auto& point = json.at("points").at(n);
    for (const auto& [column, place] : places) {
      INFO(column);
      CHECK(table.number(n, column) == point.at(nlohmann::json::json_pointer(place)).get<double>());
    }
    // Of the input, 50 ohm and 8 W by their definitions.
    const auto value = [&](const char* column) { return table.number(n, column); };
    const std::complex<double> input(value("input_r_ohm"), value("input_x_ohm")),
        gamma(value("reflection_re"), value("reflection_im")), load(value("load_r_ohm"), value("load_x_ohm"));
    const auto is = [](double a, double b) { CHECK(std::abs(a - b) <= 1e-9 * (1.0 + std::abs(b))); };
    CHECK(std::abs(gamma - (input - 50.0) / (input + 50.0)) <= 1e-12);
    is(value("swr"), (1.0 + std::abs(gamma)) / (1.0 - std::abs(gamma)));
    is(value("available_w"), 8.0);
    is(value("accepted_w"), 8.0 * (1.0 - std::norm(gamma)));
    is(value("mismatch_db"), -10.0 * std::log10(1.0 - std::norm(gamma)));
    is(value("dissipation_db"), 10.0 * std::log10(value("accepted_w") / value("delivered_w")));
    is(value("transducer_db"), value("mismatch_db") + value("dissipation_db"));
    is(value("delivered_w"), load.real() * std::pow(value("load_current_a_rms"), 2));
    is(value("load_voltage_v_peak"), std::sqrt(2.0) * std::abs(load) * value("load_current_a_rms"));
    // The coil carries the load's current: X = 2 pi f 5 uH, R = X/200.
    is(value("L1_current_a_rms"), value("load_current_a_rms"));
    const double x_ohm = 2.0 * 3.14159265358979323846 * value("frequency_hz") * 5e-6;
    is(value("L1_dissipation_w"), x_ohm / 200.0 * std::pow(value("L1_current_a_rms"), 2));
    is(value("L1_voltage_v_peak"), std::sqrt(2.0) * x_ohm * std::hypot(1.0, 1.0 / 200.0) * value("L1_current_a_rms"));
    double heat_w = 0.0;
    for (const auto& element : point.at("elements")) heat_w += element.at("dissipation_w").get<double>();
    is(value("accepted_w"), value("delivered_w") + heat_w);
  }
}

TEST_CASE("the first columns of the CSV do not move") {
  const Folder folder;
  const auto run = folder.run("stile-net --frequency 7MHz --load 50 --csv");
  CHECK(run.out.substr(0, run.out.find('\n')) == "frequency_hz,load_r_ohm,load_x_ohm,input_r_ohm,input_x_ohm,"
                                                 "reflection_re,reflection_im,swr,available_w,accepted_w,delivered_w,"
                                                 "mismatch_db,dissipation_db,transducer_db,loaded_q,second_harmonic_db,"
                                                 "third_harmonic_db,load_current_a_rms,load_voltage_v_peak");
}

TEST_CASE("an infinite SWR is null in JSON and inf in CSV") {
  const Folder folder;
  const auto json = folder.run("stile-net --frequency 7MHz --load 0-100j --json").json();
  CHECK(json.at("points").at(0).at("swr").is_null());
  CHECK(json.at("points").at(0).at("loss").at("transducer_db").is_null());
  const stile::Table table =
      stile::read_table(folder.run("stile-net --frequency 7MHz --load 0-100j --csv").out, "out.csv");
  CHECK(table.text(0, "swr") == "inf");
}

TEST_CASE("programs are chained by a pipe of Touchstone") {
  const Folder folder;
  const auto whole =
      folder.run("stile-net --frequency 7.1MHz --load 20-300j --series L=5uH,Q=200 --line RG-58,2m --json");
  const auto chained =
      folder.run("stile-net --sweep 7MHz:7.2MHz:21 --frequency 7.1MHz --load 20-300j --line RG-58,2m --touchstone - | "
                 "stile-net --frequency 7.1MHz --load-file - --series L=5uH,Q=200 --json");
  INFO(chained.err);
  REQUIRE(chained.status == 0);
  const auto a = whole.json().at("points").at(0).at("input_ohm"), b = chained.json().at("points").at(0).at("input_ohm");
  CHECK(relative(a.at(0), b.at(0)) <= 1e-12);
  CHECK(relative(a.at(1), b.at(1)) <= 1e-12);
}

TEST_CASE("touchstone and result go to two places when both are asked for") {
  const Folder folder;
  const auto run = folder.run("stile-net --frequency 7.1MHz --load 20-300j --touchstone a.s1p -o b.txt");
  CHECK(run.status == 0);
  CHECK(run.out.empty());
  CHECK(folder.names() == std::vector<std::string>{"a.s1p", "b.txt"});
  CHECK(programs::content(folder.file("a.s1p")).find("caution: RF burn") != std::string::npos);
  CHECK(programs::content(folder.file("b.txt")).find("Input impedance") != std::string::npos);
}

TEST_CASE("harmonics are given only where the load file reaches") {
  const Folder folder;
  folder.write(
      "load.csv",
      "frequency_hz,r_ohm,x_ohm\n7e6,20,-300\n7.5e6,20,-290\n8e6,20,-280\n14e6,30,-50\n15e6,30,-40\n15.2e6,30,-39\n");
  const auto run = folder.run("stile-net --sweep 7MHz:7.8MHz:5 --load-file load.csv --shunt C=100pF --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  for (std::size_t n = 0; n < 5; ++n) {
    const auto& point = json.at("points").at(n);
    CHECK(point.at("second_harmonic_db").is_number() == (n < 4));  // 2 * 7.8 MHz is beyond the last sample
    CHECK(point.at("third_harmonic_db").is_null());
  }
}

TEST_CASE("a broken rating is status 1 with the reason and the whole result") {
  const Folder folder;
  const std::string command =
      "stile-net --frequency 7.1MHz --load 20-300j --series L=2.2uH,Q=200 --shunt C=470pF,Q=1000,V=10V ";
  const auto json = folder.run(command + "--json");
  CHECK(json.status == 1);
  CHECK(json.err == "stile-net: C2: 24.1 V peak, rated 10 V at 7.1 MHz\n");
  CHECK(json.json().at("overloads").at(0).at("label") == "C2");
  CHECK(relative(json.json().at("overloads").at(0).at("factor"), 2.41027) <= 1e-5);
  const auto text = folder.run(command);
  CHECK(text.status == 1);
  CHECK(text.out.find("Over the rating: C2: 24.1 V peak, rated 10 V") != std::string::npos);
  const auto quiet = folder.run(command + "--quiet --csv");
  CHECK(quiet.status == 1);
  CHECK(quiet.err.empty());
  CHECK(folder.run("stile-net --frequency 7.1MHz --load 20-300j --shunt C=470pF,V=500V").status == 0);
}

TEST_CASE("a stated SWR limit that does not hold is status 1") {
  const Folder folder;
  const std::string command = "stile-net --sweep 7MHz:7.2MHz:3 --load 50-100j --series L=2.2uH --csv ";
  CHECK(folder.run(command).status == 0);
  CHECK(folder.run(command + "--swr 1.1").status == 0);
  const auto run = folder.run(command + "--swr 1.01");
  CHECK(run.status == 1);
  CHECK(programs::lines(run.err) == 1);
  CHECK(run.err.find("stile-net: SWR 1.0") == 0);
  CHECK(run.err.find("limit 1.01\n") != std::string::npos);
  CHECK(run.out.find("frequency_hz,") == 0);
}

TEST_CASE("JSON of many points is written as it comes, in the bytes of one document") {
  const Folder folder;
  std::string parts;
  for (int n = 0; n < 5; ++n) parts += "--series L=1uH,Q=200 --shunt C=100pF,Q=1000,V=5kV ";
  const auto run = folder.run("stile-net --sweep 7MHz:8MHz:101 --load 20-300j " + parts + "--json");
  REQUIRE(run.status == 0);
  CHECK(nlohmann::ordered_json::parse(run.out).dump(2) + "\n" == run.out);
  CHECK(run.json().at("points").size() == 101);
  CHECK(folder.run("stile-net --sweep 7MHz:8MHz:101 --load 20-300j " + parts + "--json -o x.json").status == 0);
  CHECK(programs::content(folder.file("x.json")) == run.out);
#ifndef STILE_SANITIZED
  // Held as a tree, 10 000 points of ten parts take 240 MB.
  CHECK(folder.run("stile-net --sweep 7MHz:8MHz:10000 --load 20-300j " + parts + "--json -o /dev/null").status == 0);
  rusage used{};
  REQUIRE(getrusage(RUSAGE_CHILDREN, &used) == 0);
  CHECK(used.ru_maxrss < 100000);  // kB, of the largest program so far
#endif
}

TEST_CASE("the table for people names what it shows") {
  const Folder folder;
  const auto run =
      folder.run("stile-net --frequency 7.1MHz --load 20-300j --series L=2.2uH,Q=200 --shunt C=470pF,tan=0.001");
  CHECK(run.status == 0);
  for (const char* part :
       {"5 W from 50 ohm into 20-300j ohm at 7.1 MHz", "Input impedance  0.9013+56.97j ohm", "SWR              127.5\n",
        "L1    series  inductor   2.2 uH", "\nCaution, RF burn: up to "}) {
    INFO(part);
    CHECK(run.out.find(part) != std::string::npos);
  }
}
