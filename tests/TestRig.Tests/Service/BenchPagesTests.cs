using System.Text.RegularExpressions;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using TestRig.Tests.Pages;

namespace TestRig.Tests.Service;

/// <summary>The pages of the benches, in Debian's Chromium, from a service in a process of its own.</summary>
public sealed partial class BenchPagesTests(Browser browser) : IClassFixture<Browser>
{
    /// <summary>The narrowest telephone in common use, in CSS pixels (common practice).</summary>
    private const int Telephone = 360;

    private const int Desk = 1280;

    /// <summary>In milliseconds. A busy machine takes its time; nothing here asserts how long.</summary>
    private const float Patience = 120_000;

    [Fact]
    public async Task A_soak_is_started_watched_and_stopped_on_a_telephone()
    {
        using var service = ServiceRun.Start();
        var page = await SignedInAsync(service, "read+drive", "/benches/dome", Telephone, ColorScheme.Light);
        await ArmAsync(service, page);

        await StartSoakAsync(page);

        await SeeAsync(page.GetByRole(AriaRole.Heading, new() { Name = "Soak for 2 h" }));
        await SeeAsync(page.Locator("[data-live]").GetByText(Cycles()));
        var before = await CyclesShownAsync(page);
        await page.WaitForFunctionAsync("before => { const seen = /(\\d[\\d ]*) cycles?, /.exec(document.querySelector('[data-live]').innerText); return seen && +seen[1].replaceAll(' ', '') > before + 3; }", before, new() { Timeout = Patience });
        await SeeAsync(page.Locator("[data-live] .channels li", new() { HasText = "shutter-open" }).GetByText("dead", new() { Exact = false }).First);
        await page.GetByRole(AriaRole.Button, new() { Name = "Stop now, lines idle" }).ClickAsync();

        await SeeAsync(page.GetByText("Nothing is driven. All lines of this bench are idle."));
        await page.ReloadAsync();
        await SeeAsync(page.Locator(".jobs").GetByText("Stopped by anna.", new() { Exact = false }));
        await SeeAsync(page.GetByRole(AriaRole.Button, new() { Name = "Go on with this run" }));
    }

    [Fact]
    public async Task A_late_click_on_stop_stops_nothing_that_has_begun_since()
    {
        using var service = ServiceRun.Start();
        var page = await SignedInAsync(service, "read+drive", "/benches/dome", Desk, ColorScheme.Light);
        using var client = service.Client(service.CreateToken("bert", "read+drive"));
        await ArmAsync(service, page);
        var first = await ServiceRun.AskForAsync(client, """{"kind":"soak","for":"2h"}""");
        var second = await ServiceRun.AskForAsync(client, """{"kind":"soak","for":"3h"}""");
        await SeeAsync(page.GetByRole(AriaRole.Heading, new() { Name = "Soak for 2 h" }));
        Assert.Equal(first.ToString(System.Globalization.CultureInfo.InvariantCulture), await page.Locator("[data-running]").InputValueAsync());
        using (await client.PostAsync($"/api/jobs/{first}/stop", null))
            await SeeAsync(page.GetByRole(AriaRole.Heading, new() { Name = "Soak for 3 h" }));

        // As if the click had come before the page was told; and it is not told now.
        await page.EvaluateAsync("job => { const field = document.querySelector('[data-running]'); field.removeAttribute('data-running'); field.value = job; }", first);
        await page.GetByRole(AriaRole.Button, new() { Name = "Stop now, lines idle" }).ClickAsync();
        await SeeAsync(page.Locator(".jobs").GetByText("Stopped by bert.", new() { Exact = false }));
        using (var untouched = System.Text.Json.JsonDocument.Parse(await client.GetStringAsync($"/api/jobs/{second}")))
            Assert.Equal("running", untouched.RootElement.GetProperty("state").GetString());

        await page.GetByRole(AriaRole.Button, new() { Name = "Stop now, lines idle" }).ClickAsync();
        await SeeAsync(page.GetByText("Nothing is driven. All lines of this bench are idle."));
    }

    [Fact]
    public async Task A_watched_soak_is_seen_again_when_the_service_was_killed_and_started()
    {
        using var service = ServiceRun.Start();
        var page = await SignedInAsync(service, "read+drive", "/benches/dome", Desk, ColorScheme.Light);
        await ArmAsync(service, page);
        await StartSoakAsync(page);
        await SeeAsync(page.Locator("[data-live]").GetByText(Cycles()));

        service.Kill();
        await SeeAsync(page.GetByText("No connection to the service since", new() { Exact = false }));
        var before = await CyclesShownAsync(page);
        service.StartAgain();

        await page.WaitForFunctionAsync("() => document.querySelector('[data-live-state]').textContent === ''", null, new() { Timeout = Patience });
        await page.WaitForFunctionAsync("before => { const seen = /(\\d[\\d ]*) cycles?, /.exec(document.querySelector('[data-live]').innerText); return seen && +seen[1].replaceAll(' ', '') > before; }", before, new() { Timeout = Patience });
        // Still signed in: the same page as before, not the one that asks for a token.
        Assert.EndsWith("/benches/dome", page.Url, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wrong_token_is_refused_and_a_right_one_leads_to_the_page_that_was_asked_for()
    {
        using var service = ServiceRun.Start();
        var secret = service.CreateToken("anna", "read");
        var page = await browser.OpenAsync(new Uri(service.Address, "/benches/dome").AbsoluteUri, Telephone, ColorScheme.Dark);

        Assert.StartsWith(new Uri(service.Address, "/sign-in").AbsoluteUri, page.Url, StringComparison.Ordinal);
        await page.FillAsync("#token", "testrig-" + new string('x', 43));
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in" }).ClickAsync();
        await SeeAsync(page.GetByRole(AriaRole.Alert));
        await page.FillAsync("#token", secret);
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in" }).ClickAsync();

        await SeeAsync(page.GetByRole(AriaRole.Heading, new() { Name = "dome" }));
        // Whoever may only look is offered nothing that drives.
        Assert.Equal(0, await page.GetByRole(AriaRole.Button, new() { Name = "Start", Exact = true }).CountAsync());
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign out" }).ClickAsync();
        await page.GotoAsync(new Uri(service.Address, "/benches/dome").AbsoluteUri);
        Assert.StartsWith(new Uri(service.Address, "/sign-in").AbsoluteUri, page.Url, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Guided_probing_leads_whoever_holds_the_lead_to_the_part_on_a_telephone()
    {
        using var service = ServiceRun.Start();
        var page = await SignedInAsync(service, "read+drive", "/benches/dome", Telephone, ColorScheme.Dark);
        await ArmAsync(service, page);
        await page.SelectOptionAsync("#kind", "Probe");
        await page.SelectOptionAsync("#channel", "shutter-open");
        await page.GetByRole(AriaRole.Button, new() { Name = "Start", Exact = true }).ClickAsync();

        var there = page.GetByRole(AriaRole.Button, new() { Name = "The tip is there" });
        await SeeAsync(there);
        await ExpectNoViolationsAsync(page);
        // What to touch, and the button for it, without scrolling.
        await page.EvaluateAsync("() => scrollTo(0, 0)");
        var (question, buttons) = ((await page.Locator(".touch").BoundingBoxAsync())!, (await page.Locator(".answering").BoundingBoxAsync())!);
        Assert.InRange(question.Y + question.Height, 0, buttons.Y);
        Assert.InRange(buttons.Y + buttons.Height, 0, page.ViewportSize!.Height + 1);
        var over = page.GetByText("Nothing is driven. All lines of this bench are idle.");
        for (var touched = 0; touched < 8 && !await over.IsVisibleAsync(); touched++)
        {
            var asked = await page.Locator("[data-asked]").InputValueAsync();
            await there.ClickAsync();
            await page.WaitForFunctionAsync(
                "asked => { const now = document.querySelector('[data-state]'); return now.dataset.state === '' || (now.dataset.state === 'asked' && now.dataset.question !== asked); }", asked, new() { Timeout = Patience });
        }

        await page.ReloadAsync();
        await SeeAsync(page.Locator(".jobs").GetByText("Replace OK3 (4N25).", new() { Exact = false }));
    }

    [Theory]
    [InlineData(Desk, ColorScheme.Light)]
    [InlineData(Telephone, ColorScheme.Dark)]
    public async Task No_rule_of_accessibility_is_broken_and_no_page_is_wider_than_its_window(int width, ColorScheme scheme)
    {
        using var service = ServiceRun.Start();
        var page = await browser.OpenAsync(new Uri(service.Address, "/sign-in").AbsoluteUri, width, scheme);
        await ExpectNoViolationsAsync(page);
        page = await SignedInAsync(service, "read+drive", "/benches/dome", width, scheme);
        await ExpectNoViolationsAsync(page);
        await ArmAsync(service, page);
        await page.SelectOptionAsync("#kind", "Soak");
        await page.GetByRole(AriaRole.Button, new() { Name = "Start", Exact = true }).ClickAsync();
        await SeeAsync(page.GetByRole(AriaRole.Alert));
        await page.FillAsync("#length", "2 h");
        await page.GetByRole(AriaRole.Button, new() { Name = "Start", Exact = true }).ClickAsync();
        await SeeAsync(page.Locator(".spark").First);
        await ExpectNoViolationsAsync(page);
        await page.GotoAsync(service.Address.AbsoluteUri);
        await SeeAsync(page.GetByText("at work", new() { Exact = false }).First);
        await ExpectNoViolationsAsync(page);
        await page.GotoAsync(new Uri(service.Address, "/runs").AbsoluteUri);
        await ExpectNoViolationsAsync(page);
    }

    /// <summary>By the rules of axe-core for WCAG 2.0 to 2.2, levels A and AA, and its best practices.</summary>
    private static async Task ExpectNoViolationsAsync(IPage page)
    {
        var result = await page.RunAxe();
        Assert.NotEmpty(result.Passes);
        Assert.Empty(result.Violations.Select(violation => $"{page.Url}: {violation.Id} ({violation.Impact}): {violation.Help}: {string.Join("; ", violation.Nodes.Take(3).Select(node => node.Html))}"));
        Assert.InRange(await page.EvaluateAsync<int>("document.documentElement.scrollWidth"), 1, page.ViewportSize!.Width);
    }

    private async Task<IPage> SignedInAsync(ServiceRun service, string rights, string path, int width, ColorScheme scheme)
    {
        var page = await browser.OpenAsync(new Uri(service.Address, path).AbsoluteUri, width, scheme);
        page.SetDefaultTimeout(Patience);
        await page.FillAsync("#token", service.CreateToken("anna", rights));
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in" }).ClickAsync();
        await SeeAsync(page.GetByRole(AriaRole.Button, new() { Name = "Sign out" }));
        return page;
    }

    private static async Task ArmAsync(ServiceRun service, IPage page)
    {
        ServiceRun.Command("arm", service.Configuration, "dome", "--for", "1h", "--motor-is-off");
        // Told by the service, not asked for.
        await SeeAsync(page.GetByText("armed until", new() { Exact = false }));
    }

    private static async Task StartSoakAsync(IPage page)
    {
        await page.SelectOptionAsync("#kind", "Soak");
        await page.FillAsync("#length", "2 h");
        await page.GetByRole(AriaRole.Button, new() { Name = "Start", Exact = true }).ClickAsync();
    }

    private static async Task<long> CyclesShownAsync(IPage page) =>
        long.Parse(Cycles().Match(await page.Locator("[data-live]").InnerTextAsync()).Groups[1].Value.Replace(" ", "", StringComparison.Ordinal), System.Globalization.CultureInfo.InvariantCulture);

    private static Task SeeAsync(ILocator what) => what.WaitForAsync(new() { Timeout = Patience });

    [GeneratedRegex(@"(\d[\d ]*) cycles?, ")]
    private static partial Regex Cycles();
}
