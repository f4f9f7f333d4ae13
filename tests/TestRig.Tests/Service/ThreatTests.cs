using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using Microsoft.Data.Sqlite;
using TestRig.Bench.Serving;
using TestRig.Tests.Pages;

namespace TestRig.Tests.Service;

/// <summary>The rows of the table of threats in tools/service/service.md.</summary>
public sealed class ThreatTests(GuardedService service, Browser browser) : IClassFixture<GuardedService>, IClassFixture<Browser>
{
    private const string Sweep = """{"kind":"sweep"}""";

    /// <summary>As long as anybody may take for a request's head, and more than this machine needs for anything.</summary>
    private static readonly TimeSpan _patience = TimeSpan.FromMinutes(2);

    /// <summary>What needs no token: it tells nothing of benches.</summary>
    private static readonly string[] _open = ["/health/live", "/health/ready"];

    private static readonly string[] _pages = ["/", "/live", "/benches/dome", "/benches/dome/live", "/metrics", "/runs"];

    private static readonly string[] _forms = ["/benches/dome/ask", "/benches/dome/stop", "/benches/dome/answer", "/sign-out"];

    [Fact]
    public async Task Without_a_token_nothing_is_read_and_nothing_driven()
    {
        using var stranger = new Visitor(service.Run.Address);
        var operations = await OperationsAsync();
        Assert.Contains(("post", "/api/benches/dome/jobs"), operations);
        foreach (var (method, path) in operations.Where(each => !_open.Contains(each.Path)).Concat(_pages.Select(path => ("get", path))).Concat(_forms.Select(path => ("post", path))))
        {
            using var request = new HttpRequestMessage(HttpMethod.Parse(method), path) { Content = method == "post" ? new StringContent(Sweep, MediaTypeHeaderValue.Parse("application/json")) : null };
            using var answer = await stranger.Client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead);
            Assert.True(answer.StatusCode is HttpStatusCode.Unauthorized or HttpStatusCode.Found or HttpStatusCode.BadRequest or HttpStatusCode.NotFound or HttpStatusCode.UnsupportedMediaType, $"{method} {path}: {(int)answer.StatusCode}");
            if (path.StartsWith("/api/", StringComparison.Ordinal))
                Assert.Equal(HttpStatusCode.Unauthorized, answer.StatusCode);
            Assert.DoesNotContain("simulated", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("")]
    [InlineData("testrig-AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA")]
    [InlineData("' or '1'='1")]
    public async Task A_token_that_was_made_up_is_refused(string secret)
    {
        using var stranger = new Visitor(service.Run.Address);
        stranger.Client.DefaultRequestHeaders.TryAddWithoutValidation("Authorization", $"Bearer {secret}");
        Assert.Equal(HttpStatusCode.Unauthorized, await StatusAsync(stranger, "/api/benches"));
    }

    [Fact]
    public async Task Reading_and_driving_are_apart()
    {
        service.Arm("dome");
        using var reader = new Visitor(service.Run.Address, await service.TokenAsync("apart-reader", AccessRights.Read));
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("apart-driver", AccessRights.Drive));
        Assert.Equal((HttpStatusCode.OK, HttpStatusCode.Forbidden), (await StatusAsync(reader, "/api/benches"), await StatusAsync(driver, "/api/benches")));
        using var read = await ServiceRun.AskAsync(reader.Client, Sweep);
        Assert.Equal(HttpStatusCode.Forbidden, read.StatusCode);
        using var drive = await ServiceRun.AskAsync(driver.Client, Sweep);
        Assert.Equal(HttpStatusCode.Created, drive.StatusCode);
        var job = (await drive.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64();
        using var stopped = await reader.Client.PostAsync($"/api/jobs/{job}/stop", null);
        Assert.Equal(HttpStatusCode.Forbidden, stopped.StatusCode);
        Assert.Equal("done", (await ServiceRun.WaitForEndAsync(reader.Client, job)).GetProperty("state").GetString());
    }

    [Fact]
    public async Task Whoever_signed_in_to_read_finds_no_form_and_can_send_none()
    {
        service.Arm("dome");
        using var reader = await SignedInAsync("form-reader", AccessRights.Read);
        Assert.DoesNotContain("/benches/dome/ask", await reader.Client.GetStringAsync("/benches/dome"), StringComparison.Ordinal);
        // With a proof of their own, too: that of signing out, which every page has.
        using var asked = await reader.PostAsync("/benches/dome/ask", await reader.ProofAsync("/benches/dome"), ("wish", "a"), ("kind", "Sweep"));
        Assert.Equal(HttpStatusCode.Forbidden, asked.StatusCode);
        Assert.DoesNotContain("form-reader", await AllJobsAsync("dome"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_revoked_token_ends_at_once_with_every_browser_and_everything_that_watches_by_it()
    {
        var secret = await service.TokenAsync("stolen", AccessRights.Read | AccessRights.Drive);
        using var program = new Visitor(service.Run.Address, secret);
        using var person = new Visitor(service.Run.Address);
        using (var entered = await person.SignInAsync(secret))
            Assert.Equal(HttpStatusCode.Found, entered.StatusCode);
        Assert.Equal((HttpStatusCode.OK, HttpStatusCode.OK), (await StatusAsync(program, "/api/benches"), await StatusAsync(person, "/")));
        var watching = new List<Task>();
        foreach (var (visitor, path) in ((Visitor, string)[])[(program, "/api/benches/idle/live"), (person, "/benches/idle/live"), (person, "/live")])
        {
            var stream = await visitor.Client.GetStreamAsync(path);
            Assert.True(await stream.ReadAsync(new byte[1]) > 0);
            watching.Add(Visitor.ReadToEndAsync(stream));
        }
        Assert.All(watching, each => Assert.False(each.IsCompleted));

        ServiceRun.Command("token", "revoke", service.Run.Configuration, "stolen");

        Assert.Equal((HttpStatusCode.Unauthorized, HttpStatusCode.Found), (await StatusAsync(program, "/api/benches"), await StatusAsync(person, "/")));
        using (var again = await person.SignInAsync(secret))
            Assert.Equal(HttpStatusCode.Unauthorized, again.StatusCode);
        await Task.WhenAll(watching).WaitAsync(_patience);
    }

    [Fact]
    public async Task An_expired_token_is_of_no_use_however_it_is_presented()
    {
        var old = await service.TokenAsync("old", AccessRights.Read, age: TimeSpan.FromDays(2), life: TimeSpan.FromDays(1));
        var young = await service.TokenAsync("young", AccessRights.Read, age: TimeSpan.FromDays(2), life: TimeSpan.FromDays(3));
        using var late = new Visitor(service.Run.Address, old);
        using var good = new Visitor(service.Run.Address, young);
        Assert.Equal((HttpStatusCode.Unauthorized, HttpStatusCode.OK), (await StatusAsync(late, "/api/benches"), await StatusAsync(good, "/api/benches")));
        using var person = new Visitor(service.Run.Address);
        using var refused = await person.SignInAsync(old);
        Assert.Equal(HttpStatusCode.Unauthorized, refused.StatusCode);
        Assert.Equal(HttpStatusCode.Found, await StatusAsync(person, "/"));
    }

    [Fact]
    public async Task A_bench_that_is_not_armed_or_not_any_more_drives_nothing()
    {
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("unarmed", AccessRights.Read | AccessRights.Drive));
        await AssertRefusedAsync();
        // Until an hour ago.
        service.Arm("idle", ago: TimeSpan.FromHours(2));
        await AssertRefusedAsync();
        // As somebody would write it who wants it to last.
        File.WriteAllText(Path.Combine(service.State, "armed", "idle.armed.json"), """{"bench":"idle","by":"x","at":"2020-01-01T00:00:00+00:00","until":"2099-01-01T00:00:00+00:00"}""");
        await AssertRefusedAsync();
        service.Disarm("idle");
        Assert.Equal("[]", await AllJobsAsync("idle"));

        async Task AssertRefusedAsync()
        {
            using var asked = await ServiceRun.AskAsync(driver.Client, Sweep, "idle");
            Assert.Equal(HttpStatusCode.Conflict, asked.StatusCode);
            Assert.Contains("is not armed", await asked.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_job_is_of_the_arming_under_which_it_was_asked_for_and_not_of_the_next()
    {
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("again", AccessRights.Read | AccessRights.Drive));
        service.Arm("again");
        var running = await ServiceRun.AskForAsync(driver.Client, """{"kind":"soak","for":"1h"}""", "again");
        var waiting = await ServiceRun.AskForAsync(driver.Client, Sweep, "again");
        await ServiceRun.WaitAsync(driver.Client, $"/api/jobs/{running}", job => job.GetProperty("state").GetString() == "running");

        service.Disarm("again");
        service.Arm("again");

        Assert.Equal("stopped", (await ServiceRun.WaitForEndAsync(driver.Client, running)).GetProperty("state").GetString());
        Assert.Equal("refused", (await ServiceRun.WaitForEndAsync(driver.Client, waiting)).GetProperty("state").GetString());
        var later = await ServiceRun.WaitForEndAsync(driver.Client, await ServiceRun.AskForAsync(driver.Client, Sweep, "again"));
        Assert.Equal("done", later.GetProperty("state").GetString());
    }

    [Fact]
    public async Task The_machine_moves_only_where_configuration_and_arming_both_say_so()
    {
        const string motion = """{"kind":"sweep","motion":true}""";
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("mover", AccessRights.Read | AccessRights.Drive));
        service.Arm("moving");
        using (var unarmed = await ServiceRun.AskAsync(driver.Client, motion, "moving"))
            Assert.Contains("not for motion", await unarmed.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        // Armed for it at the computer, and not permitted by the configuration.
        service.Arm("twice", motion: true);
        using (var never = await ServiceRun.AskAsync(driver.Client, motion, "twice"))
            Assert.Contains("may not be moved from afar", await never.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        using (var command = ProgramRun.ToEnd("arm", service.Run.Configuration, "twice", "--for", "1h", "--allow-motion"))
            Assert.Equal(2, command.ExitCode);
        service.Arm("moving", motion: true);
        using var moved = await ServiceRun.AskAsync(driver.Client, motion, "moving");
        Assert.Equal(HttpStatusCode.Created, moved.StatusCode);
    }

    [Fact]
    public async Task Nobody_arms_a_bench_or_makes_a_token_over_the_network()
    {
        using var all = new Visitor(service.Run.Address, await service.TokenAsync("all", AccessRights.Read | AccessRights.Drive));
        Assert.DoesNotContain(await OperationsAsync(), each => each.Path.Contains("arm", StringComparison.OrdinalIgnoreCase) || each.Path.Contains("token", StringComparison.OrdinalIgnoreCase));
        foreach (var method in (HttpMethod[])[HttpMethod.Post, HttpMethod.Put, HttpMethod.Patch, HttpMethod.Delete])
        {
            foreach (var path in (string[])["/api/benches/dome", "/api/benches/dome/arm", "/api/benches/dome/armed", "/benches/dome/arm", "/api/tokens", "/tokens"])
            {
                using var answer = await all.Client.SendAsync(new(method, path));
                Assert.True(answer.StatusCode is HttpStatusCode.NotFound or HttpStatusCode.MethodNotAllowed, $"{method} {path}: {(int)answer.StatusCode}");
            }
        }
    }

    /// <summary>As another site's form or script would send them, had the browser added its cookies: the forms that start and stop need a proof that only our own pages have, and the interface takes no cookie.</summary>
    [Fact]
    public async Task What_another_site_made_a_browser_send_starts_nothing()
    {
        service.Arm("dome");
        using var victim = await SignedInAsync("victim", AccessRights.Read | AccessRights.Drive);
        using var attacker = await SignedInAsync("attacker", AccessRights.Read | AccessRights.Drive);
        var foreign = await attacker.ProofAsync("/benches/dome");
        foreach (var proof in (string?[])[null, "", "made-up", foreign])
        {
            foreach (var form in _forms)
            {
                using var sent = await victim.PostAsync(form, proof, ("wish", "forged"), ("kind", "Sweep"), ("question", "1"), ("answer", "Quit"));
                Assert.True(sent.StatusCode == HttpStatusCode.BadRequest, $"{form} with proof '{proof}': {(int)sent.StatusCode}");
            }
        }
        foreach (var type in (string[])["application/json", "text/plain", "application/x-www-form-urlencoded"])
        {
            using var api = await victim.Client.PostAsync("/api/benches/dome/jobs", new StringContent(Sweep, MediaTypeHeaderValue.Parse(type)));
            Assert.True(api.StatusCode == (type == "application/json" ? HttpStatusCode.Unauthorized : HttpStatusCode.UnsupportedMediaType), $"{type}: {(int)api.StatusCode}");
        }
        using (var link = await victim.Client.GetAsync("/benches/dome/ask?wish=forged&kind=Sweep"))
            Assert.Equal(HttpStatusCode.MethodNotAllowed, link.StatusCode);
        Assert.DoesNotContain("victim", await AllJobsAsync("dome"), StringComparison.Ordinal);
        // With the page's own proof it begins: what was refused was refused for the want of it.
        using var own = await victim.PostAsync("/benches/dome/ask", await victim.ProofAsync("/benches/dome"), ("wish", "own"), ("kind", "Sweep"));
        Assert.Equal(HttpStatusCode.Found, own.StatusCode);
        Assert.Contains("victim", await AllJobsAsync("dome"), StringComparison.Ordinal);
    }

    [Fact]
    public async Task No_other_site_may_read_an_answer_or_have_cookies_sent_along()
    {
        var secret = await service.TokenAsync("origin", AccessRights.Read);
        using var reader = new Visitor(service.Run.Address, secret);
        foreach (var method in (HttpMethod[])[HttpMethod.Get, HttpMethod.Options])
        {
            using var request = new HttpRequestMessage(method, "/api/benches");
            request.Headers.Add("Origin", "https://elsewhere.example");
            request.Headers.Add("Access-Control-Request-Method", "GET");
            request.Headers.Add("Access-Control-Request-Headers", "authorization");
            using var answer = await reader.Client.SendAsync(request);
            Assert.DoesNotContain(answer.Headers, header => header.Key.StartsWith("Access-Control-", StringComparison.OrdinalIgnoreCase));
            Assert.Equal("same-origin", Assert.Single(answer.Headers.GetValues("Cross-Origin-Resource-Policy")));
        }
        using var person = new Visitor(service.Run.Address);
        using var page = await person.Client.GetAsync("/sign-in");
        using var entered = await person.SignInAsync(secret);
        foreach (var cookie in page.Headers.GetValues("Set-Cookie").Concat(entered.Headers.GetValues("Set-Cookie")))
        {
            Assert.Contains("samesite=strict", cookie, StringComparison.OrdinalIgnoreCase);
            Assert.Contains("httponly", cookie, StringComparison.OrdinalIgnoreCase);
        }
    }

    [Fact]
    public async Task A_name_that_was_made_to_lead_here_is_not_answered()
    {
        using var reader = new Visitor(service.Run.Address, await service.TokenAsync("rebound", AccessRights.Read));
        foreach (var (host, status) in ((string, int)[])
            [("127.0.0.1", 200), ($"127.0.0.1:{service.Run.Address.Port}", 200), ("localhost", 200), ("elsewhere.example", 400), ("127.0.0.1.elsewhere.example", 400), ("localhost.elsewhere.example", 400), ("192.0.2.1", 400)])
        {
            foreach (var path in (string[])["/api/benches", "/sign-in", "/health/live"])
            {
                using var request = new HttpRequestMessage(HttpMethod.Get, path);
                request.Headers.Host = host;
                using var answer = await reader.Client.SendAsync(request);
                Assert.True((int)answer.StatusCode == status, $"{path} as {host}: {(int)answer.StatusCode}");
            }
        }
    }

    [Fact]
    public async Task Every_answer_forbids_foreign_frames_and_scripts()
    {
        using var reader = new Visitor(service.Run.Address, await service.TokenAsync("framed", AccessRights.Read));
        using var stranger = new Visitor(service.Run.Address);
        foreach (var (visitor, path, status) in ((Visitor, string, int)[])
            [(stranger, "/sign-in", 200), (stranger, "/", 302), (reader, "/api/benches", 200), (stranger, "/api/benches", 401), (reader, "/no-such-page", 404), (reader, "/api/jobs?before=x", 400), (reader, "/health/live", 200)])
        {
            using var answer = await visitor.Client.GetAsync(path);
            Assert.Equal((path, status), (path, (int)answer.StatusCode));
            AssertGuarded(answer);
        }
    }

    [Fact]
    public async Task What_people_and_files_call_things_is_shown_as_text()
    {
        const string hostile = "<b id=injected onmouseover=alert(1)>\"'&<script>document.title='injected'</script>";
        service.Arm("odd");
        var secret = await service.TokenAsync("painter", AccessRights.Read | AccessRights.Drive);
        using var driver = new Visitor(service.Run.Address, secret);
        var job = await ServiceRun.AskForAsync(driver.Client, JsonSerializer.Serialize(new { kind = "sweep", serial = hostile }), "odd");
        var probing = await ServiceRun.AskForAsync(driver.Client, JsonSerializer.Serialize(new { kind = "probe", channel = hostile }), "odd");
        await ServiceRun.WaitForEndAsync(driver.Client, job);
        // Whose words tell what was asked for, again.
        Assert.Contains(hostile, (await ServiceRun.WaitForEndAsync(driver.Client, probing)).GetProperty("words").GetString(), StringComparison.Ordinal);

        var page = await browser.OpenAsync(new Uri(service.Run.Address, "/benches/odd").AbsoluteUri, 1280, Microsoft.Playwright.ColorScheme.Light);
        var refused = new List<string>();
        page.Console += (_, message) => refused.Add(message.Text);
        await page.FillAsync("#token", secret);
        await page.ClickAsync("button.main");
        await page.WaitForSelectorAsync("text=board " + hostile[..12]);
        foreach (var path in (string[])["/benches/odd", "/"])
        {
            await page.GotoAsync(new Uri(service.Run.Address, path).AbsoluteUri);
            var text = await page.InnerTextAsync("body");
            if (path != "/")
                Assert.Contains(hostile, text, StringComparison.Ordinal);
            Assert.Contains(GuardedService.OddBoard, text, StringComparison.Ordinal);
            Assert.Equal(0, await page.EvaluateAsync<int>("document.querySelectorAll('#injected, img, [onerror], [onmouseover], script:not([src])').length"));
            Assert.NotEqual("injected", await page.TitleAsync());
        }
        Assert.Empty(refused);
    }

    [Fact]
    public async Task Another_site_in_the_same_browser_can_neither_drive_nor_show_a_bench()
    {
        service.Arm("dome");
        var secret = await service.TokenAsync("surfer", AccessRights.Read | AccessRights.Drive);
        var page = await browser.OpenAsync(new Uri(service.Run.Address, "/benches/dome").AbsoluteUri, 1280, Microsoft.Playwright.ColorScheme.Light);
        await page.FillAsync("#token", secret);
        await page.ClickAsync("button.main");
        await page.WaitForSelectorAsync("#kind");
        var elsewhere = $"""
            <title>elsewhere</title>
            <iframe name="shown" src="{service.Run.Address}benches/dome"></iframe>
            <form method="post" action="{service.Run.Address}benches/dome/ask"><input name="wish" value="w"><input name="kind" value="Sweep"></form>
            """;
        await page.RouteAsync("http://elsewhere.example/", route => route.FulfillAsync(new() { ContentType = "text/html", Body = elsewhere }));
        await page.GotoAsync("http://elsewhere.example/");
        await page.WaitForFunctionAsync("window.frames.length === 1");
        Assert.Null(await page.Frame("shown")!.QuerySelectorAsync("#kind, #token"));
        var sent = await page.RunAndWaitForResponseAsync(() => page.EvaluateAsync("document.forms[0].submit()"), response => response.Request.Method == "POST");
        // The browser sent no cookie along: whoever is not signed in is asked to.
        Assert.Equal(302, sent.Status);
        Assert.DoesNotContain("surfer", await AllJobsAsync("dome"), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("https://elsewhere.example/")]
    [InlineData("//elsewhere.example/")]
    [InlineData("/\\elsewhere.example/")]
    [InlineData("\\\\elsewhere.example/")]
    [InlineData("/\t/elsewhere.example/")]
    [InlineData("/\r\nLocation: https://elsewhere.example/")]
    [InlineData(" //elsewhere.example/")]
    [InlineData("javascript:alert(1)")]
    [InlineData("/benches/dome")]
    [InlineData("/é")]
    public async Task Signing_in_leads_to_no_other_site(string to)
    {
        using var person = new Visitor(service.Run.Address);
        using var entered = await person.SignInAsync(await service.TokenAsync($"guided-{Guid.NewGuid():N}", AccessRights.Read), to);
        Assert.Equal(HttpStatusCode.Found, entered.StatusCode);
        var lead = new Uri(service.Run.Address, Assert.Single(entered.Headers.GetValues("Location")));
        Assert.Equal(service.Run.Address.Authority, lead.Authority);
        Assert.Equal(to == "/benches/dome" ? to : "/", lead.AbsolutePath);
    }

    [Fact]
    public async Task Guessing_is_slowed_down_and_is_in_the_log()
    {
        using var guesser = new Visitor(service.Run.Address);
        HttpResponseMessage? last = null;
        for (var guesses = 0; last?.StatusCode is null or HttpStatusCode.Unauthorized && guesses < 100; guesses++)
        {
            last?.Dispose();
            last = await guesser.SignInAsync($"testrig-{guesses}");
        }
        AssertTooMany(last!);
        Assert.Contains($"Somebody at {guesser.Address} tried to sign in", service.Run.Output, StringComparison.Ordinal);
        // Nobody else is kept out.
        using var other = await SignedInAsync("not-slowed", AccessRights.Read);
        Assert.Equal(HttpStatusCode.OK, await StatusAsync(other, "/"));
    }

    [Fact]
    public async Task A_flood_from_one_address_keeps_nobody_else_out()
    {
        using var flood = new Visitor(service.Run.Address);
        using var reader = new Visitor(service.Run.Address, await service.TokenAsync("dry", AccessRights.Read));
        HttpResponseMessage? refused = null;
        for (var waves = 0; refused is null && waves < 100; waves++)
        {
            foreach (var answer in await Task.WhenAll(Enumerable.Range(0, 100).Select(_ => flood.Client.GetAsync("/health/live"))))
            {
                if (refused is null && answer.StatusCode == HttpStatusCode.TooManyRequests)
                    refused = answer;
                else
                    answer.Dispose();
            }
        }
        AssertTooMany(refused!);
        Assert.Equal(HttpStatusCode.OK, await StatusAsync(reader, "/api/benches"));
    }

    [Fact]
    public async Task No_name_in_an_address_leads_to_a_file()
    {
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("climber", AccessRights.Read | AccessRights.Drive));
        var outside = Path.Combine(service.Run.Folder, "outside.txt");
        File.WriteAllText(outside, "not to be seen");
        string[] names = ["../outside.txt", "../../outside.txt", "../benches.yaml", "..%2foutside.txt", "..%2Foutside.txt", "%2e%2e/outside.txt", "%2e%2e%2foutside.txt", "..%5coutside.txt", "..%252foutside.txt", "%252e%252e%252foutside.txt",
            outside, "/" + outside, Uri.EscapeDataString(outside), "../service/service.db", "..%2fservice%2fservice.db", "../../../../../../etc/passwd", "..%2f..%2f..%2f..%2f..%2f..%2fetc%2fpasswd", "outside.txt%00.png", ".", "..", "~", "C:%5cWindows%5cwin.ini"];
        var prefixes = (await TemplatesAsync()).Where(template => template.Contains('{', StringComparison.Ordinal)).Select(template => template[..template.IndexOf('{', StringComparison.Ordinal)])
            .Concat(["/", "/assets/", "/benches/", "/runs/", "/runs/none/", "/api/runs/", "/api/runs/none/files/", "/openapi/"]).Distinct().ToList();
        Assert.Contains("/api/benches/", prefixes);
        foreach (var path in prefixes.SelectMany(_ => names, (prefix, name) => prefix + name))
        {
            // From an address of its own, that so many are answered.
            using var climber = new Visitor(service.Run.Address, driver.Client.DefaultRequestHeaders.Authorization!.Parameter);
            var answer = await climber.AskForAsync(path);
            Assert.True(Visitor.StatusOf(answer) is 200 or 302 or 307 or 400 or 404 or 405, $"{path}: {answer}");
            foreach (var content in (string[])["not to be seen", "testrig-benches/1", "SQLite format", "root:"])
                Assert.False(answer.Contains(content, StringComparison.Ordinal), $"{path}: {answer}");
        }
    }

    [Fact]
    public async Task No_name_in_a_wish_makes_a_file_outside_the_records()
    {
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("digger", AccessRights.Read | AccessRights.Drive));
        service.Arm("twice");
        var before = Folders();
        foreach (var name in (string[])["../dug", "..", "/tmp/dug", "a/../../dug", "..\\dug"])
        {
            var soak = await ServiceRun.WaitForEndAsync(driver.Client, await ServiceRun.AskForAsync(driver.Client, JsonSerializer.Serialize(new { kind = "soak", resume = name }), "twice"));
            Assert.Equal("failed", soak.GetProperty("state").GetString());
            // A serial number may have any letters: it is never a name of a file.
            var sweep = await ServiceRun.WaitForEndAsync(driver.Client, await ServiceRun.AskForAsync(driver.Client, JsonSerializer.Serialize(new { kind = "sweep", serial = name }), "twice"));
            Assert.Equal("done", sweep.GetProperty("state").GetString());
        }
        Assert.Equal(before, Folders());
        Assert.False(Path.Exists("/tmp/dug"));

        List<string> Folders() => [.. Directory.EnumerateFileSystemEntries(service.Run.Folder).Where(path => !Path.GetFileName(path).StartsWith("runs", StringComparison.Ordinal)).Order(StringComparer.Ordinal)];
    }

    [Fact]
    public async Task What_is_too_large_is_not_read()
    {
        service.Arm("dome");
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("large", AccessRights.Read | AccessRights.Drive));
        using (var body = await ServiceRun.AskAsync(driver.Client, $$"""{"kind":"sweep","serial":"{{new string('x', 64 * 1024)}}"}"""))
        {
            Assert.Equal(HttpStatusCode.RequestEntityTooLarge, body.StatusCode);
            Assert.Contains("at most 65536 bytes", await body.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        }
        // Nobody says beforehand how much comes.
        var head = $"POST /api/benches/dome/jobs HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: {driver.Client.DefaultRequestHeaders.Authorization}\r\nContent-Type: application/json\r\nIdempotency-Key: a\r\nConnection: close\r\n";
        Assert.Equal(413, Visitor.StatusOf(await driver.SayAsync($"{head}Transfer-Encoding: chunked\r\n\r\n20000\r\n\"{new string('x', 0x20000 - 1)}\r\n0\r\n\r\n")));
        Assert.Equal(413, Visitor.StatusOf(await driver.SayAsync($"{head}Content-Length: 1000000000000\r\n\r\n")));
        using var person = new Visitor(service.Run.Address);
        using (var form = await person.SignInAsync(new string('x', 64 * 1024)))
            Assert.True(form.StatusCode is HttpStatusCode.BadRequest or HttpStatusCode.RequestEntityTooLarge, $"{(int)form.StatusCode}");
        Assert.Equal(431, Visitor.StatusOf(await driver.SayAsync($"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Much: {new string('x', 40_000)}\r\n\r\n")));
        Assert.Equal(414, Visitor.StatusOf(await driver.SayAsync($"GET /{new string('x', 20_000)} HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")));
        foreach (var (field, length) in ((string, int)[])[("serial", 101), ("resume", 101), ("channel", 101)])
        {
            using var named = await ServiceRun.AskAsync(driver.Client, $$"""{"kind":"{{(field == "serial" ? "sweep" : field == "resume" ? "soak" : "probe")}}","{{field}}":"{{new string('x', length)}}"}""");
            Assert.Equal(HttpStatusCode.BadRequest, named.StatusCode);
        }
        Assert.Equal(HttpStatusCode.OK, await StatusAsync(driver, "/api/benches"));
    }

    [Fact]
    public async Task Whoever_takes_for_ever_to_ask_is_hung_up_on()
    {
        using var idler = new Visitor(service.Run.Address);
        var answer = await idler.SayAsync("GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: ").WaitAsync(_patience);
        Assert.True(answer.Length == 0 || Visitor.StatusOf(answer) == 408, answer);
    }

    [Fact]
    public async Task A_second_service_with_the_same_memory_does_not_begin()
    {
        using var second = ProgramRun.ToEnd("serve", service.Run.Configuration);
        Assert.Equal(2, second.ExitCode);
        Assert.Contains($"Another service works with {service.State} already", second.Error, StringComparison.Ordinal);
        using var reader = new Visitor(service.Run.Address, await service.TokenAsync("first", AccessRights.Read));
        Assert.Equal(HttpStatusCode.OK, await StatusAsync(reader, "/api/benches"));
    }

    [Fact]
    public async Task What_is_sent_twice_is_driven_once()
    {
        service.Arm("twice");
        using var program = new Visitor(service.Run.Address, await service.TokenAsync("repeater", AccessRights.Read | AccessRights.Drive));
        using var person = await SignedInAsync("clicker", AccessRights.Read | AccessRights.Drive);
        var proof = await person.ProofAsync("/benches/twice");
        var clicks = await Task.WhenAll(Enumerable.Range(0, 5).Select(_ => person.PostAsync("/benches/twice/ask", proof, ("wish", "clicked"), ("kind", "Sweep"))));
        Assert.All(clicks, click => Assert.Equal(HttpStatusCode.Found, click.StatusCode));
        var sent = await Task.WhenAll(Enumerable.Range(0, 5).Select(_ => ServiceRun.AskAsync(program.Client, Sweep, "twice", key: "repeated")));
        Assert.Single(sent, answer => answer.StatusCode == HttpStatusCode.Created);
        var job = (await sent[0].Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64();
        await ServiceRun.WaitForEndAsync(program.Client, job);
        // Also when nothing could be begun any more: the answer tells what became of it.
        service.Disarm("twice");
        using (var late = await ServiceRun.AskAsync(program.Client, Sweep, "twice", key: "repeated"))
        {
            Assert.Equal(HttpStatusCode.OK, late.StatusCode);
            Assert.Equal(job, (await late.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetInt64());
        }
        using (var other = await ServiceRun.AskAsync(program.Client, """{"kind":"sweep","repeats":2}""", "twice", key: "repeated"))
            Assert.Equal(HttpStatusCode.Conflict, other.StatusCode);
        using (var without = await program.Client.PostAsync("/api/benches/twice/jobs", new StringContent(Sweep, MediaTypeHeaderValue.Parse("application/json"))))
            Assert.Equal(HttpStatusCode.BadRequest, without.StatusCode);
        var jobs = JsonDocument.Parse(await AllJobsAsync("twice")).RootElement.EnumerateArray().Select(entry => entry.GetProperty("by").GetString()).ToList();
        Assert.Equal((1, 1), (jobs.Count(by => by == "clicker"), jobs.Count(by => by == "repeater")));
    }

    [Fact]
    public async Task No_secret_is_in_a_file_or_in_the_log()
    {
        var secret = await service.TokenAsync("logged", AccessRights.Read);
        using var person = new Visitor(service.Run.Address);
        using var entered = await person.SignInAsync(secret);
        using var program = new Visitor(service.Run.Address, secret);
        Assert.Equal(HttpStatusCode.OK, await StatusAsync(program, "/api/benches"));
        var created = service.Run.CreateToken("created", "read");
        const string mistyped = "testrig-mistyped-but-nearly-right-and-therefore-secret";
        using var guess = await person.SignInAsync(mistyped);
        using var stranger = new Visitor(service.Run.Address, mistyped);
        await StatusAsync(stranger, "/api/benches");
        service.Run.WaitFor($"A token that is not valid came from {stranger.Address}");
        var cookie = person.Cookies.GetCookies(service.Run.Address)["testrig"]!.Value;
        var said = Directory.EnumerateFiles(service.Run.Folder, "*", SearchOption.AllDirectories).Where(file => Path.GetFileName(file) != "service.lock").Select(file => (File: file, Content: ReadShared(file))).Append((File: "the output", Content: service.Run.Output)).ToList();
        Assert.Contains(said, each => each.File.Contains("service-", StringComparison.Ordinal) && each.Content.Contains("is not valid", StringComparison.Ordinal));
        foreach (var (file, content) in said)
        {
            foreach (var hidden in (string[])[secret, created, mistyped, cookie])
                Assert.False(content.Contains(hidden, StringComparison.Ordinal), $"{file} has {hidden}");
        }
    }

    [Fact]
    public void Only_the_services_user_may_look_into_its_folders()
    {
        if (OperatingSystem.IsWindows())
            return;
        const UnixFileMode others = UnixFileMode.GroupRead | UnixFileMode.GroupWrite | UnixFileMode.GroupExecute | UnixFileMode.OtherRead | UnixFileMode.OtherWrite | UnixFileMode.OtherExecute;
        service.Arm("dome");
        ServiceRun.Command("arm", service.Run.Configuration, "odd", "--for", "1h", "--motor-is-off");
        foreach (var folder in (string[])[service.State, Path.Combine(service.State, "keys")])
            Assert.Equal(UnixFileMode.None, File.GetUnixFileMode(folder) & others);
        Assert.NotEmpty(Directory.GetFiles(Path.Combine(service.State, "keys")));
        foreach (var armed in Directory.GetFiles(Path.Combine(service.State, "armed")).Where(file => file.Contains("odd", StringComparison.Ordinal) || file.Contains("dome", StringComparison.Ordinal)))
            Assert.Equal(UnixFileMode.GroupRead, File.GetUnixFileMode(armed) & others);
    }

    [Fact]
    public async Task No_line_of_the_log_can_be_forged()
    {
        using var stranger = new Visitor(service.Run.Address, "made-up");
        Assert.Equal(401, Visitor.StatusOf(await stranger.AskForAsync("/api/benches/%0aFORGED%0d%0aFORGED")));
        service.Run.WaitFor($"A token that is not valid came from {stranger.Address}");
        using var driver = new Visitor(service.Run.Address, await service.TokenAsync("forger", AccessRights.Read | AccessRights.Drive));
        service.Arm("dome");
        foreach (var wish in (string[])["""{"kind":"sweep","serial":"a\nFORGED"}""", """{"kind":"soak","resume":"a\nFORGED"}""", """{"kind":"probe","channel":"a\nFORGED"}"""])
        {
            using var asked = await ServiceRun.AskAsync(driver.Client, wish);
            Assert.Equal(HttpStatusCode.BadRequest, asked.StatusCode);
        }
        Assert.DoesNotContain(service.Run.Output.Split('\n'), line => line.StartsWith("FORGED", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_mistake_of_the_program_tells_strangers_nothing()
    {
        using var reader = new Visitor(service.Run.Address, await service.TokenAsync("curious", AccessRights.Read));
        Assert.Equal("[]", await reader.Client.GetStringAsync("/api/jobs?bench=broken"));
        // A row that no version of the program writes: reading it is an error that nothing foresees.
        await ExecuteAsync("insert into job (wish, bench, request, author, asked_ticks, asked_offset, state) values ('broken', 'broken', 'no request', 'test', 0, 0, 'Done')");
        try
        {
            using var answer = await reader.Client.GetAsync("/api/jobs?bench=broken");
            var text = await answer.Content.ReadAsStringAsync();
            Assert.Equal((HttpStatusCode.InternalServerError, "application/problem+json"), (answer.StatusCode, answer.Content.Headers.ContentType!.MediaType));
            foreach (var inside in (string[])["   at ", "Exception", ".cs", "TestRig.", "Sqlite", service.State])
                Assert.DoesNotContain(inside, text, StringComparison.OrdinalIgnoreCase);
            AssertGuarded(answer);
            // Whoever keeps the service finds it in the log.
            service.Run.WaitFor("a job cannot be read");
        }
        finally
        {
            await ExecuteAsync("delete from job where bench = 'broken'");
        }
    }

    private async Task ExecuteAsync(string sql)
    {
        await using var memory = new SqliteConnection($"Data Source={Path.Combine(service.State, "service.db")};Pooling=False");
        await memory.OpenAsync();
        await using var command = memory.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync();
    }

    /// <summary>What the interface offers to programs, by its own document: each with names in the places of its parameters.</summary>
    private async Task<IReadOnlyList<(string Method, string Path)>> OperationsAsync()
    {
        using var document = await DocumentAsync();
        return [.. document.RootElement.GetProperty("paths").EnumerateObject().SelectMany(
            path => path.Value.EnumerateObject(),
            (path, operation) => (operation.Name, Regex.Replace(path.Name.Replace("{bench}", "dome", StringComparison.Ordinal).Replace("{form}", "vcd", StringComparison.Ordinal), @"\{\w+\}", "1")))];
    }

    private async Task<IReadOnlyList<string>> TemplatesAsync()
    {
        using var document = await DocumentAsync();
        return [.. document.RootElement.GetProperty("paths").EnumerateObject().Select(path => path.Name)];
    }

    private async Task<JsonDocument> DocumentAsync()
    {
        using var anybody = new Visitor(service.Run.Address);
        return JsonDocument.Parse(await anybody.Client.GetStringAsync("/openapi/testrig.json"));
    }

    private async Task<Visitor> SignedInAsync(string name, AccessRights rights)
    {
        var visitor = new Visitor(service.Run.Address);
        using var entered = await visitor.SignInAsync(await service.TokenAsync(name, rights));
        Assert.Equal(HttpStatusCode.Found, entered.StatusCode);
        return visitor;
    }

    private async Task<string> AllJobsAsync(string bench)
    {
        using var reader = new Visitor(service.Run.Address, await service.TokenAsync($"counter-{Guid.NewGuid():N}", AccessRights.Read));
        return await reader.Client.GetStringAsync($"/api/jobs?bench={bench}&limit=200");
    }

    private static async Task<HttpStatusCode> StatusAsync(Visitor visitor, string path)
    {
        using var answer = await visitor.Client.GetAsync(path);
        return answer.StatusCode;
    }

    private static void AssertTooMany(HttpResponseMessage answer)
    {
        Assert.Equal(HttpStatusCode.TooManyRequests, answer.StatusCode);
        Assert.InRange(answer.Headers.RetryAfter!.Delta!.Value, TimeSpan.FromSeconds(1), TimeSpan.FromMinutes(1));
        AssertGuarded(answer);
    }

    private static void AssertGuarded(HttpResponseMessage answer)
    {
        var policy = Assert.Single(answer.Headers.GetValues("Content-Security-Policy")).Split("; ");
        Assert.Contains("default-src 'none'", policy);
        Assert.Contains("script-src 'self'", policy);
        Assert.Contains("frame-ancestors 'none'", policy);
        Assert.Contains("base-uri 'none'", policy);
        Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
        Assert.True(answer.Headers.CacheControl!.NoStore);
    }

    private static string ReadShared(string file)
    {
        using var stream = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        using var content = new MemoryStream();
        stream.CopyTo(content);
        return Encoding.Latin1.GetString(content.ToArray());
    }
}
