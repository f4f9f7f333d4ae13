using System.Text;
using System.Text.RegularExpressions;
using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using TestRig.Tests.Shared;

namespace TestRig.Tests.Pages;

/// <summary>The pages that the program writes, in a browser: as people read them on a desk, on a telephone and on paper.</summary>
public sealed partial class WrittenPagesTests(Browser browser, WrittenPagesTests.Written written) : IClassFixture<Browser>, IClassFixture<WrittenPagesTests.Written>
{
    /// <summary>The narrowest telephone in common use, in CSS pixels (common practice).</summary>
    private const int Telephone = 360;

    private const int Desk = 1280;

    /// <summary>Of the board whose report is printed.</summary>
    private const int Channels = 6;

    /// <summary>One page of each kind.</summary>
    public sealed class Written : IDisposable
    {
        private readonly List<ProgramRun> _runs = [];
        private readonly Dictionary<string, string> _pages = [];

        public Written()
        {
            var store = new Dictionary<string, string> { ["TESTRIG_STORE"] = Path.Combine(TestFolders.Create().FullName, "runs.db") };
            string Run(int exitCode, string page, params string[] arguments)
            {
                _runs.Add(ProgramRun.Start(store, arguments).WaitForEnd(exitCode));
                return Path.Combine(_runs[^1].Folder, "out", page);
            }

            _pages["sweep"] = Run(1, "report.html", "sweep", Repository.DomeProfile, "--fault", "OK3=slow:3x", "--repeat", "3", "--serial", "17", "--out", "out");
            _pages["repaired sweep"] = Run(0, "report.html", "sweep", Repository.DomeProfile, "--adapter", "simulated", "--serial", "17", "--out", "out");
            _pages["soak"] = Run(1, "report.html", "soak", Repository.DomeProfile, "--fault", "OK3=intermittent:0.1", "--cycles", "40", "--out", "out");
            _pages["wiring"] = Run(0, "wiring.html", "wiring", Repository.DomeProfile, "--out", "out");
            _pages["trial"] = Run(1, "trial.html", "trial", Repository.SocketProfile, "--part", "2=ctr:0.2x", "--parts", "6", "--out", "out");
            using var list = ProgramRun.Start(store, ["runs", "list", "--kind", "sweep", "--json", "-"]).WaitForEnd(0);
            var names = RunRecord.Of(list).Root.GetProperty("runs").EnumerateArray().Select(run => run.GetProperty("name").GetString()!).ToList();
            _pages["comparison"] = Run(0, "compare.html", "compare", names[1], names[0], "--out", "out");
        }

        public string this[string kind] => new Uri(_pages[kind]).AbsoluteUri;

        public void Dispose() => _runs.ForEach(run => run.Dispose());
    }

    public static TheoryData<string, int, ColorScheme> Views
    {
        get
        {
            var views = new TheoryData<string, int, ColorScheme>();
            foreach (var kind in (string[])["sweep", "repaired sweep", "soak", "wiring", "trial", "comparison"])
            {
                views.Add(kind, Desk, ColorScheme.Light);
                views.Add(kind, Telephone, ColorScheme.Dark);
            }
            return views;
        }
    }

    /// <summary>The rules of axe-core 4.11 and later for WCAG 2.0 to 2.2, levels A and AA, and its best practices.</summary>
    [Theory]
    [MemberData(nameof(Views))]
    public async Task No_rule_of_accessibility_is_broken(string kind, int width, ColorScheme scheme)
    {
        var page = await browser.OpenAsync(written[kind], width, scheme);
        var result = await page.RunAxe();
        Assert.NotEmpty(result.Passes);
        Assert.Empty(result.Violations.Select(Told));
    }

    /// <summary>Wide tables scroll by themselves; the page does not.</summary>
    [Theory]
    [MemberData(nameof(Views))]
    public async Task A_page_is_as_wide_as_its_window(string kind, int width, ColorScheme scheme)
    {
        var page = await browser.OpenAsync(written[kind], width, scheme);
        Assert.InRange(await page.EvaluateAsync<int>("document.documentElement.scrollWidth"), 1, width);
    }

    [Theory]
    [InlineData("sweep")]
    [InlineData("soak")]
    [InlineData("comparison")]
    public async Task A_page_needs_nothing_but_itself(string kind)
    {
        var asked = new List<string>();
        var page = await browser.OpenAsync("about:blank", Desk, ColorScheme.Light);
        page.Request += (_, request) => asked.Add(request.Url);
        await page.GotoAsync(written[kind]);
        Assert.All(asked.Where(address => address != written[kind]), address => Assert.StartsWith("data:", address, StringComparison.Ordinal));
        Assert.True(await page.EvaluateAsync<bool>("[...document.images].every(image => image.complete && image.naturalWidth > 0)"));
    }

    /// <summary>The answer is the first page, each channel has one of its own, and the checks stand on the last.</summary>
    [Theory]
    [InlineData("A4")]
    [InlineData("Letter")]
    public async Task A_report_prints_on_a_page_for_the_answer_and_one_for_each_channel(string paper)
    {
        var page = await browser.OpenAsync(written["sweep"], Desk, ColorScheme.Light);
        var pdf = Encoding.Latin1.GetString(await page.PdfAsync(new() { Format = paper, PrintBackground = true }));
        // Chromium writes the pages' dictionaries in plain text (ISO 32000-1, 7.7.3.3).
        Assert.Equal(1 + Channels + 1, PageForm().Count(pdf));
    }

    [GeneratedRegex(@"/Type\s*/Page\b")]
    private static partial Regex PageForm();

    private static string Told(AxeResultItem violation) => $"{violation.Id} ({violation.Impact}): {violation.Help}: {string.Join("; ", violation.Nodes.Take(3).Select(node => node.Html))}";
}
