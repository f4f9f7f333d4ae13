using System.Globalization;
using System.Text.RegularExpressions;
using System.Web;
using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using TestRig.Tests.Pages;

namespace TestRig.Tests.Service;

/// <summary>The pages of kept runs in a browser: on a desk and on a telephone, by keys alone, and without scripts.</summary>
[Collection(ServedRunsGroup.Name)]
public sealed class RunPagesTests(ServedRuns served, Browser browser) : IClassFixture<Browser>
{
    /// <summary>The narrowest telephone in common use, in CSS pixels (common practice).</summary>
    private const int Telephone = 360;

    private const int Desk = 1280;

    private const string Slow = "shutter-open";

    public static TheoryData<string, int, ColorScheme> Views
    {
        get
        {
            var views = new TheoryData<string, int, ColorScheme>();
            foreach (var path in (string[])["/runs", "/runs?condition=stuck-high", "/runs/FAULTY", "/runs/SOAK", "/runs/TRIAL", "/runs/FAULTY/beside/REPAIRED", "/runs/none"])
            {
                views.Add(path, Desk, ColorScheme.Light);
                views.Add(path, Telephone, ColorScheme.Dark);
            }
            views.Add("/runs/SOAK", Desk, ColorScheme.Dark);
            views.Add("/runs/SOAK", Telephone, ColorScheme.Light);
            return views;
        }
    }

    /// <summary>The rules of axe-core 4.11 and later for WCAG 2.0 to 2.2, levels A and AA, and its best practices; nothing is wider than the window, and nothing that is pressed is small.</summary>
    [Theory]
    [MemberData(nameof(Views))]
    public async Task A_page_can_be_read_and_pressed_by_everybody(string path, int width, ColorScheme scheme)
    {
        var page = await OpenAsync(path, width, scheme);
        await page.EvaluateAsync("document.querySelectorAll('details').forEach(part => part.open = true)");
        var result = await page.RunAxe();
        Assert.NotEmpty(result.Passes);
        Assert.Empty(result.Violations.Select(Told));
        Assert.InRange(await page.EvaluateAsync<int>("document.documentElement.scrollWidth"), 1, width);
        var small = await page.EvaluateAsync<string[]>(
            """
            [...document.querySelectorAll("button, .button, .press, .conditions a, nav a, input, select, summary")]
                .map(part => [part, part.getBoundingClientRect()])
                .filter(([, box]) => box.width > 0 && (box.height < 43.5 || box.width < 43.5))
                .map(([part, box]) => `${part.outerHTML.slice(0, 100)} ${box.width} x ${box.height}`)
            """);
        Assert.Empty(small);
        await page.CloseAsync();
    }

    [Fact]
    public async Task The_answer_stands_first_and_then_what_is_to_be_replaced()
    {
        var page = await OpenAsync($"/runs/{served.Faulty}", Telephone, ColorScheme.Light);
        Assert.Equal("SIMULATED, no board was tested: 5 of 6 channels working, 1 faulty.", await page.Locator("h2").First.InnerTextAsync());
        Assert.Contains("OK3", await page.Locator("#answer .do").First.InnerTextAsync(), StringComparison.Ordinal);
        // Both without scrolling on a telephone.
        Assert.InRange(await page.Locator("#answer .do").First.EvaluateAsync<double>("part => part.getBoundingClientRect().bottom"), 1, 800);
        Assert.Contains("slow", await page.Locator($"#answer li:has(a[href='#channel-{Slow}'])").InnerTextAsync(), StringComparison.Ordinal);
        Assert.Equal(6, await page.Locator("article.channel figure.plot").CountAsync());
        await page.CloseAsync();
    }

    [Fact]
    public async Task Runs_are_found_with_the_form_without_a_script()
    {
        var page = await OpenAsync("/runs", Telephone, ColorScheme.Light, scripts: false);
        Assert.Equal(5, await page.Locator(".runs > li").CountAsync());
        await page.GetByLabel("Some channel was").SelectOptionAsync("slow");
        await page.GetByRole(AriaRole.Button, new() { Name = "Show" }).ClickAsync();
        Assert.Equal(1, await page.Locator(".runs > li").CountAsync());
        Assert.Equal($"/runs/{served.Faulty}", await page.Locator(".runs > li a").GetAttributeAsync("href"));
        Assert.Equal("slow", await page.GetByLabel("Some channel was").InputValueAsync());
        await page.CloseAsync();
    }

    [Theory]
    [InlineData(Desk)]
    [InlineData(Telephone)]
    public async Task Keys_alone_zoom_and_move_and_each_step_is_a_picture_of_that_stretch(int width)
    {
        var page = await OpenAsync($"/runs/{served.Faulty}", width, ColorScheme.Light);
        var figure = page.Locator($"#channel-{Slow} figure.plot");
        var image = figure.Locator("img");
        await image.ScrollIntoViewIfNeededAsync();
        await image.EvaluateAsync("image => image.decode()");
        // To the frame by keys: until the focus is there.
        var frame = await figure.Locator(".plot-frame").ElementHandleAsync();
        await page.Locator($"#channel-{Slow}").EvaluateAsync("part => { part.tabIndex = -1; part.focus(); }");
        for (var presses = 0; !await frame!.EvaluateAsync<bool>("part => part === document.activeElement"); presses++)
        {
            Assert.InRange(presses, 0, 5);
            await page.Keyboard.PressAsync("Tab");
        }
        var whole = double.Parse((await figure.GetAttributeAsync("data-length"))!, CultureInfo.InvariantCulture);
        var before = await PixelsAsync(image);
        await StepAsync(page, image, "+", 0.25 * whole, 0.75 * whole);
        var zoomed = await PixelsAsync(image);
        Assert.NotEqual(before, zoomed);
        await StepAsync(page, image, "ArrowLeft", 0, 0.5 * whole);
        await StepAsync(page, image, "+", 0.125 * whole, 0.375 * whole);
        await StepAsync(page, image, "ArrowRight", 0.25 * whole, 0.5 * whole);
        await StepAsync(page, image, "-", 0.125 * whole, 0.625 * whole);
        Assert.Contains("from=", page.Url, StringComparison.Ordinal);
        await StepAsync(page, image, "0", null, null);
        Assert.DoesNotContain("from=", page.Url, StringComparison.Ordinal);
        await page.CloseAsync();
    }

    [Fact]
    public async Task A_finger_that_drags_moves_the_stretch_by_as_much()
    {
        var page = await OpenAsync($"/runs/{served.Faulty}?channel={Slow}&from=50ms&to=60ms", Desk, ColorScheme.Light);
        var figure = page.Locator($"#channel-{Slow} figure.plot");
        var image = figure.Locator("img");
        await image.ScrollIntoViewIfNeededAsync();
        await image.EvaluateAsync("image => image.decode()");
        var box = (await figure.Locator(".plot-frame").BoundingBoxAsync())!;
        // The time axis of a picture 1200 wide begins at 212 and ends 336 before its right edge; a quarter of it to the left shows what is later by a quarter.
        var axis = box.Width * (1200 - 212 - 336) / 1200;
        var request = await page.RunAndWaitForRequestAsync(
            async () =>
            {
                await page.Mouse.MoveAsync(box.X + (box.Width / 2), box.Y + 200);
                await page.Mouse.DownAsync();
                await page.Mouse.MoveAsync(box.X + (box.Width / 2) - (axis / 4), box.Y + 200, new() { Steps = 4 });
                await page.Mouse.UpAsync();
            },
            asked => asked.Url.Contains("waveform.png", StringComparison.Ordinal) && asked.Url.Contains("from=", StringComparison.Ordinal) && !asked.Url.Contains("from=50ms", StringComparison.Ordinal));
        var (from, to) = StretchOf(request.Url);
        Assert.InRange(from, 52.45e9, 52.55e9);
        Assert.InRange(to, 62.45e9, 62.55e9);
        await page.CloseAsync();
    }

    /// <summary>The server's sums and the script's are written in two languages.</summary>
    [Fact]
    public async Task Links_lead_without_a_script_where_the_script_leads()
    {
        string[] steps = ["in", "later", "in", "in", "earlier", "in", "later", "out", "in"];
        var (plain, quick) = (await OpenAsync($"/runs/{served.Faulty}", Desk, ColorScheme.Light, scripts: false), await OpenAsync($"/runs/{served.Faulty}", Desk, ColorScheme.Light));
        foreach (var step in steps)
        {
            var link = $"#channel-{Slow} a[data-step={step}]";
            await plain.Locator(link).ClickAsync();
            await quick.Locator(link).ClickAsync();
            Assert.Equal(StretchOf(plain.Url), StretchOf(quick.Url));
            Assert.Equal(StretchOf(plain.Url), StretchOf(await plain.Locator($"#channel-{Slow} figure.plot img").EvaluateAsync<string>("image => image.src")));
        }
        Assert.EndsWith($"#channel-{Slow}", plain.Url, StringComparison.Ordinal);
        await plain.CloseAsync();
        await quick.CloseAsync();
    }

    [Fact]
    public async Task A_telephone_is_sent_pictures_for_its_screen()
    {
        var page = await OpenAsync($"/runs/{served.Faulty}", Telephone, ColorScheme.Light);
        var image = page.Locator($"#channel-{Slow} figure.plot img");
        await image.ScrollIntoViewIfNeededAsync();
        await image.EvaluateAsync("image => image.decode()");
        Assert.Contains("width=340&density=2", await image.EvaluateAsync<string>("image => image.currentSrc"), StringComparison.Ordinal);
        Assert.Equal(680, await page.EvaluateAsync<int>("address => new Promise(done => { const image = new Image(); image.onload = () => done(image.naturalWidth); image.src = address; })", await image.EvaluateAsync<string>("image => image.currentSrc")));
        await page.CloseAsync();
    }

    [Fact]
    public async Task Another_cycle_of_a_soak_is_chosen_and_its_captures_are_there()
    {
        var page = await OpenAsync($"/runs/{served.Soak}", Desk, ColorScheme.Light, scripts: false);
        await page.GetByLabel("Cycle, 40 are kept").FillAsync("1");
        await page.GetByRole(AriaRole.Button, new() { Name = "Show" }).ClickAsync();
        Assert.Contains("cycle=1", page.Url, StringComparison.Ordinal);
        Assert.Contains("In cycle 1: working.", await page.Locator($"#channel-{Slow}").InnerTextAsync(), StringComparison.Ordinal);
        var file = await page.Locator($"#channel-{Slow}").GetByText("Capture as CSV").GetAttributeAsync("href");
        Assert.Equal($"/api/runs/{served.Soak}/captures/{Slow}.csv?cycle=1", file);
        await page.CloseAsync();
    }

    [Fact]
    public async Task Two_runs_stand_side_by_side_on_a_desk_and_below_each_other_on_a_telephone()
    {
        foreach (var (width, beside) in new[] { (Desk, true), (Telephone, false) })
        {
            var page = await OpenAsync($"/runs/{served.Repaired}/beside/{served.Faulty}", width, ColorScheme.Dark);
            Assert.Contains("better: shutter-open", await page.Locator("h2").First.InnerTextAsync(), StringComparison.Ordinal);
            var plots = page.Locator($"#channel-{Slow} figure.plot");
            var (first, second) = ((await plots.Nth(0).BoundingBoxAsync())!, (await plots.Nth(1).BoundingBoxAsync())!);
            Assert.Equal(beside, Math.Abs(first.Y - second.Y) < 1);
            // The earlier one is the first, whichever was named first, and both move together.
            Assert.Contains(served.Faulty, (await plots.Nth(0).GetAttributeAsync("data-plot"))!, StringComparison.Ordinal);
            await plots.Nth(0).Locator("a[data-step=in]").ClickAsync();
            foreach (var run in (string[])[served.Faulty, served.Repaired])
                await page.WaitForFunctionAsync("run => [...document.images].some(image => image.src.includes(run) && image.src.includes('from='))", run);
            await page.CloseAsync();
        }
    }

    /// <summary>Presses a key, and waits for the picture that it asks for.</summary>
    private static async Task StepAsync(IPage page, ILocator image, string key, double? from, double? to)
    {
        var answer = await page.RunAndWaitForResponseAsync(() => page.Keyboard.PressAsync(key), response => response.Url.Contains("waveform.png", StringComparison.Ordinal));
        Assert.Equal(200, answer.Status);
        if (from is null || to is null)
        {
            Assert.DoesNotContain("from=", answer.Url, StringComparison.Ordinal);
        }
        else
        {
            var (begin, end) = StretchOf(answer.Url);
            // Bounds are rounded to a thousandth of the stretch.
            Assert.InRange(begin, from.Value - ((to.Value - from.Value) / 500), from.Value + ((to.Value - from.Value) / 500));
            Assert.InRange(end, to.Value - ((to.Value - from.Value) / 500), to.Value + ((to.Value - from.Value) / 500));
        }
        var address = new Uri(answer.Url).PathAndQuery;
        await page.WaitForFunctionAsync("([image, address]) => image.getAttribute('src') === address && image.complete", new object[] { (await image.ElementHandleAsync())!, address });
        var query = HttpUtility.ParseQueryString(new Uri(answer.Url).Query);
        Assert.Equal(int.Parse(query["width"]!, CultureInfo.InvariantCulture) * int.Parse(query["density"]!, CultureInfo.InvariantCulture), RunEndpointsTests.SizeOf(await answer.BodyAsync()).Width);
    }

    /// <summary>In picoseconds; of the whole both are zero.</summary>
    private static (double From, double To) StretchOf(string address)
    {
        var query = HttpUtility.ParseQueryString(new Uri(address).Query);
        static double Of(string? text) => Regex.Match(text ?? "", @"^([0-9.]+)(ns|us|ms|s)$") is { Success: true } match
            ? Math.Round(double.Parse(match.Groups[1].Value, CultureInfo.InvariantCulture) * match.Groups[2].Value switch { "ns" => 1e3, "us" => 1e6, "ms" => 1e9, _ => 1e12 })
            : 0;
        return (Of(query["from"]), Of(query["to"]));
    }

    /// <summary>What the browser has drawn.</summary>
    private static async Task<string> PixelsAsync(ILocator image) => Convert.ToHexString(System.Security.Cryptography.SHA256.HashData(await image.ScreenshotAsync()));

    private Task<IPage> OpenAsync(string path, int width, ColorScheme scheme, bool scripts = true)
    {
        var named = path.Replace("FAULTY", served.Faulty, StringComparison.Ordinal).Replace("REPAIRED", served.Repaired, StringComparison.Ordinal)
            .Replace("SOAK", served.Soak, StringComparison.Ordinal).Replace("TRIAL", served.Trial, StringComparison.Ordinal);
        return browser.OpenAsync(new Uri(served.Address, named).AbsoluteUri, width, scheme, scripts);
    }

    private static string Told(AxeResultItem violation) => $"{violation.Id} ({violation.Impact}): {violation.Help}: {string.Join("; ", violation.Nodes.Take(3).Select(node => node.Html))}";
}
