// What every tool does alike: help, version, bad input, where results go.

#include <sys/stat.h>

#include "programs.hpp"

using programs::Folder;
using programs::Run;

namespace {

const std::vector<std::string> tools{"stile-net",   "stile-match", "stile-coil",
                                     "stile-range", "stile-whip",  "stile-plan"};
const std::string good = "stile-net --frequency 7.1MHz --load 20-300j ";
const std::string good_match = "stile-match --frequency 7.1MHz --load 20-300j ";

/// Status 2, one line in GNU form that holds `part`, nothing on standard output.
void check_refused(const Folder& folder, const std::string& command, const std::string& part) {
  const Run run = folder.run(command);
  INFO(command << "\n" << run.err);
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK(programs::lines(run.err) == 1);
  CHECK(run.err.find(command.substr(0, command.find(' ')) + ": ") == 0);
  CHECK(run.err.find(part) != std::string::npos);
}

}  // namespace

TEST_CASE("help opens with the description and two examples that run") {
  for (const std::string& tool : tools) {
    const Folder folder;
    programs::fs::create_directory_symlink(STILE_EXAMPLES_FOLDER, folder.file("examples"));
    const Run help = folder.run(tool + " --help");
    INFO(help.out);
    CHECK(help.status == 0);
    CHECK(help.err.empty());
    CHECK(help.out.find(tool + ": ") == 0);
    const std::size_t begin = help.out.find("\n\nExamples:\n"), end = help.out.find("\n\nUsage: " + tool + " ");
    REQUIRE(begin == help.out.find('\n'));
    REQUIRE(end != std::string::npos);
    const std::string text = help.out.substr(begin + 11, end - begin - 10);  // each line between line feeds
    std::vector<std::string> examples;
    for (std::size_t at = text.find("\n  " + tool); at != std::string::npos;) {
      const std::size_t next = text.find("\n  " + tool, at + 1);
      examples.push_back(text.substr(at, next - at));
      at = next;
    }
    CHECK(examples.size() == 2);
    for (const std::string& example : examples) {
      const Run run = folder.run(example);
      INFO(example << "\n" << run.err);
      CHECK(run.status <= (tool == "stile-plan" ? 1 : 0));  // a band on which nothing holds is an answer
      CHECK(programs::lines(run.err) == static_cast<std::size_t>(run.status));
      CHECK(run.out.empty() == (example.find(" -o ") != std::string::npos));
    }
    CHECK(help.out.find("\nExit status:\n  0  done\n  1  done, and ") != std::string::npos);
    for (const char* option : {"--json", "--csv", "-o FILE", "--quiet", "--help", "--version", "--chart FILE"}) {
      INFO(option);
      CHECK(help.out.find(std::string("\n  ") + option) != std::string::npos);
    }
    CHECK(folder.run(tool + " --nonsense --help").status == 2);
  }
}

TEST_CASE("version is one line") {
  const Folder folder;
  for (const std::string& tool : tools) {
    const Run run = folder.run(tool + " --version");
    CHECK(run.status == 0);
    CHECK(run.out.find(tool + " ") == 0);
    CHECK(programs::lines(run.out) == 1);
  }
}

TEST_CASE("wrong usage is status 2 and says what would be legal") {
  const Folder folder;
  check_refused(folder, good + "--frequencies 1", "unknown option \"--frequencies\"; legal: --frequency --sweep");
  check_refused(folder, good + "--nonsense=1", "unknown option \"--nonsense\"; legal: ");
  check_refused(folder, good + "-x", "unknown option \"-x\"; legal: ");
  check_refused(folder, good + "more", "unexpected argument \"more\"; legal: ");
  check_refused(folder, good + "--frequency 7MHz", "--frequency is given more than once; legal: once");
  check_refused(folder, good + "--power", "--power has no value");
  check_refused(folder, good + "--json --csv", "--json and --csv exclude each other");
  check_refused(folder, good + "--load-file x.s1p", "--load and --load-file exclude each other");
  check_refused(folder, "stile-net --frequency 7MHz",
                "no load is given; legal: --load 12-230j or --load-file FILE.s1p");
  check_refused(folder, "stile-net --load 50", "no frequency is given; legal: --frequency 14.2MHz or --sweep");
  check_refused(folder, "stile-match --load 50", "no frequency is given");
  check_refused(folder, good + "--series L=1uH,label=a --shunt C=1pF,label=a", "two parts are called \"a\"");
  check_refused(folder, good_match + "--form x", "--form: column 1: no form \"x\"; legal: l pi t");
  check_refused(folder, good_match + "--loaded-q 3",
                "--loaded-q needs a network with a free choice; legal: --form pi or --form t");
  check_refused(folder, good_match + "--form pi --loaded-q 3 --phase 40", "more than one free choice");
  check_refused(folder, good_match + "--series e25", "--series: column 1: ");
  check_refused(folder, good_match + "--inductor-q-at 7MHz", "legal: --inductor-q beside it");
  CHECK(folder.names().empty());
}

TEST_CASE("quantities that cannot be read are status 2 with their column") {
  const Folder folder;
  check_refused(folder, "stile-net --load 50 --frequency 7.1mHz", "--frequency: column 4: ");
  check_refused(folder, "stile-net --load 50 --frequency 7.1V", "--frequency: column 4: ");
  check_refused(folder, "stile-net --load 50 --frequency nan", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency inf", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency 0x10", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency ''", "--frequency: column 1: ");
  check_refused(folder, "stile-net --load 50 --frequency -7MHz", "--frequency: column 1: \"-7MHz\": must be > 0");
  check_refused(folder, "stile-net --frequency 7MHz --load 12-230i", "--load: column 7: ");
  check_refused(folder, "stile-net --frequency 7MHz --load -1", "--load: column 1: \"-1\": its real part must be >= 0");
  check_refused(folder, "stile-net --frequency 7MHz --load nan", "--load: column 1: ");
  check_refused(folder, good + "--source 0", "--source: column 1: ");
  check_refused(folder, good + "--power 0W", "--power: column 1: ");
  check_refused(folder, good + "--series L=1uH,Q=-200", "--series: column 9: \"-200\": Q must be > 0");
  check_refused(folder, good + "--series L=1uH,QQ=200", "--series: column 7: unknown key \"QQ\"; legal: L= Q= ");
  check_refused(folder, good + "--sweep 7MHz:8MHz", "--sweep: column 1: ");
  check_refused(folder, good_match + "--inductor-q nan", "--inductor-q: column 1: ");
  check_refused(folder, good_match + "--inductor-q -5", "--inductor-q: column 1: \"-5\": must be > 0");
  check_refused(folder, good_match + "--swr 1", "--swr: column 1: \"1\": must be > 1");
  check_refused(folder, good_match + "--tolerance 120%", "--tolerance: column 1: ");
  check_refused(folder, good_match + "--tolerance 5% --samples 0", "--samples: column 1: ");
  check_refused(folder, good_match + "--samples 100", "--samples is about tolerances; legal: --tolerance T beside it");
  check_refused(folder, good_match + "--seed 3", "--seed is about tolerances; legal: ");
  for (const char* option : {"--least-loss", "--loaded-q 3", "--end-q 3", "--phase 30", "--inductance-limits 1uH:2uH",
                             "--capacitance-limits 1pF:2nF"}) {
    check_refused(folder, good_match + option, " needs a network with a free choice; legal: --form pi or --form t");
  }
  check_refused(folder, good_match + "--form t --phase 300",
                "--phase: column 1: \"300\": out of range; legal: degrees, -180..180");
  check_refused(folder, good_match + "--solution 99", "--solution 99: there is no such solution; legal: 1..4");
  check_refused(folder, "stile-net --frequency 1e300 --load 50 --series L=1e300H",
                "the result at 1e291 GHz is not finite");
  check_refused(folder, "stile-net --frequency 7MHz --load 1e308",
                "the result at 7 MHz is not finite: values too large or too small");
}

TEST_CASE("load files that cannot serve are status 2") {
  const Folder folder;
  folder.write("load.csv", "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n7.2e6,20,-290\n");
  folder.write("broken.csv", "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n7.2e6,x,-290\n");
  folder.write("broken.s1p", "# MHz Z RI R 50\n7.0 1.0\n");
  folder.write("load.txt", "50\n");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file none.s1p", "none.s1p");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file .", "legal");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file load.txt", "load.txt");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file broken.csv", "broken.csv:3:7: ");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file broken.s1p", "broken.s1p:2:");
  check_refused(folder, "stile-net --frequency 7.1MHz --load-file -", "");
  check_refused(folder, "stile-net --frequency 14.2MHz --load-file load.csv",
                "--frequency: load \"load\": no data at 14.2 MHz, there is none above 7.2 MHz; data: 7 MHz to 7.2 MHz");
  check_refused(folder, "stile-net --sweep 7.1MHz:7.3MHz:3 --frequency 7.15MHz --load-file load.csv",
                "--sweep: load \"load\": no data at 7.3 MHz");
  check_refused(folder, "stile-net --frequency 14.2MHz --load-file load.csv", "7.2 MHz");
  check_refused(folder, "stile-match --frequency 14.2MHz --load-file load.csv --json", "7.2 MHz");
  if (::geteuid() != 0) {  // root reads everything
    folder.write("locked.csv", "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n");
    REQUIRE(::chmod(folder.file("locked.csv").c_str(), 0) == 0);
    check_refused(folder, "stile-net --frequency 7MHz --load-file locked.csv", "locked.csv");
  }
}

TEST_CASE("a result that cannot be written is status 2 and leaves nothing") {
  const Folder folder;
  for (const std::string& command : {good, good_match}) {
    check_refused(folder, command + ">/dev/full", "standard output: cannot be written: No space left on device");
    check_refused(folder, command + "-o /dev/full", "/dev/full: cannot be written: No space left on device");
    check_refused(folder, command + "-o .", ".: cannot be written: Is a directory");
    check_refused(folder, command + "-o none/result.txt",
                  "none/result.txt: cannot be written: No such file or directory");
    check_refused(folder, command + "-o ''", "cannot be written: ");
    check_refused(folder, command + "--version >/dev/full", "cannot be written");
    check_refused(folder, command + "--chart ./plot.jpg", "plot.jpg");
  }
  check_refused(folder, good + "--touchstone .", "cannot be written: Is a directory");
  check_refused(folder, good + "--touchstone a -o a", "--touchstone and -o name the same file");
  check_refused(folder, good + "--touchstone a.s1p -o none/x", "none/x: cannot be written: No such file or directory");
  check_refused(folder, good + "--touchstone a.s1p -o /dev/full",
                "/dev/full: cannot be written: No space left on device");
  check_refused(folder, good + "--touchstone a.s1p >/dev/full",
                "standard output: cannot be written: No space left on device");
  check_refused(folder, good + "--touchstone a.s1p -o b.txt --chart none/c.png", "the chart cannot be drawn: ");
  check_refused(folder, good + "--chart c.png --chart c.svg >/dev/full",
                "standard output: cannot be written: No space left on device");
  CHECK(folder.names().empty());
}

TEST_CASE("a file is replaced as a whole and keeps its permissions") {
  const Folder folder;
  folder.write("result.json", "old");
  REQUIRE(::chmod(folder.file("result.json").c_str(), 0640) == 0);
  // A disk that fills: no file may grow beyond one block, so the write fails half way and the old file stays.
  const Run full = folder.run("trap '' XFSZ; ulimit -f 1; " + good + "--json -o result.json");
  INFO(full.err);
  CHECK(full.status == 2);
  CHECK(full.err == "stile-net: result.json: cannot be written: File too large; legal: a file in a folder that may be "
                    "written to, or - "
                    "for standard output\n");
  CHECK(programs::content(folder.file("result.json")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"result.json"});

  const Run run = folder.run(good + "--json -o result.json");
  CHECK(run.status == 0);
  CHECK(run.out.empty());
  CHECK(nlohmann::json::parse(programs::content(folder.file("result.json"))).at("tool") == "stile-net");
  struct stat status {};
  REQUIRE(::stat(folder.file("result.json").c_str(), &status) == 0);
  CHECK((status.st_mode & 0777U) == 0640U);

  programs::fs::create_symlink("result.json", folder.file("link.json"));
  CHECK(folder.run(good + "--csv -o link.json").status == 0);
  CHECK(programs::fs::is_symlink(folder.file("link.json")));
  CHECK(programs::content(folder.file("result.json")).find("frequency_hz,") == 0);
  CHECK(folder.names() == std::vector<std::string>{"link.json", "result.json"});
}

TEST_CASE("files that were there stay when another result cannot be written") {
  const Folder folder;
  folder.write("a.s1p", "old");
  check_refused(folder, good + "--touchstone a.s1p >/dev/full", "standard output: cannot be written");
  CHECK(programs::content(folder.file("a.s1p")) == "old");
  CHECK(folder.names() == std::vector<std::string>{"a.s1p"});
  CHECK(folder.run(good + "--touchstone a.s1p -o b.txt").status == 0);
  CHECK(programs::content(folder.file("a.s1p")).find("# Hz Z RI") != std::string::npos);
  CHECK(folder.names() == std::vector<std::string>{"a.s1p", "b.txt"});
}

TEST_CASE("a reader that has gone ends the program quietly and leaves nothing") {
  const Folder folder;
  const Run run = folder.run("mkfifo pipe; (exec 3<pipe) & { sleep 0.2; " + good +
                             "--touchstone a.s1p; echo $? >&2; } >pipe; rm pipe");
  CHECK(run.err == "141\n");  // 128 + SIGPIPE
  CHECK(folder.names().empty());
}

TEST_CASE("a lone dash is standard output") {
  const Folder folder;
  CHECK(folder.run(good + "--csv -o -").out == folder.run(good + "--csv").out);
  CHECK(folder.names().empty());
}

TEST_CASE("warnings about a load file go to standard error and into the JSON") {
  const Folder folder;
  folder.write("load.csv", "frequency_hz,r_ohm,x_ohm,mood\n7e6,20,-310,1\n7.2e6,20,-290,2\n");
  const Run run = folder.run("stile-net --frequency 7.1MHz --load-file load.csv --json");
  CHECK(run.status == 0);
  CHECK(run.err.find("stile-net: warning: ") == 0);
  CHECK(run.json().at("warnings").size() == 1);
  const Run quiet = folder.run("stile-net --frequency 7.1MHz --load-file load.csv --json --quiet");
  CHECK(quiet.err.empty());
  CHECK(quiet.out == run.out);
}
