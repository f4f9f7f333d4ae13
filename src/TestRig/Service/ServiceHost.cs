using System.Globalization;
using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text.Json;
using System.Text.Json.Serialization;
using System.Threading.RateLimiting;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.HostFiltering;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Server.Kestrel.Https;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using OpenTelemetry.Metrics;
using Serilog;
using TestRig.Bench.Plotting;
using TestRig.Bench.Serving;
using TestRig.Bench.Storage;

namespace TestRig.Service;

/// <summary>Puts the service together: its benches' workers, and the web server that tells of them.</summary>
internal static class ServiceHost
{
    /// <summary>Nothing that anybody has to send is larger.</summary>
    private const int LargestBody = 64 * 1024;

    /// <summary>Enough to end a burst, take the lines to idle and keep the record, on a slow machine too.</summary>
    private static readonly TimeSpan _timeToEnd = TimeSpan.FromSeconds(90);

    /// <summary>Whoever takes longer to say what they want only keeps a connection from others.</summary>
    private static readonly TimeSpan _timeForHeaders = TimeSpan.FromSeconds(10);

    /// <summary>How many requests an address may send at once, and how many more each second.</summary>
    private const int RequestsAtOnce = 200, RequestsASecond = 20;

    /// <summary>So often a secret may be tried in a minute, from one address.</summary>
    private const int SignInsAMinute = 10;

    /// <summary>For forms that present a secret.</summary>
    public const string SignInLimit = "sign-in";

    private const string EitherScheme = "either";

    public static WebApplication Build(ServiceSettings settings, ServiceState state, IRunStore store, PlotFont font, TimeProvider time, Serilog.ILogger log)
    {
        var builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions { ContentRootPath = AppContext.BaseDirectory, EnvironmentName = Environments.Production });
        builder.Services.AddSerilog(log);
        builder.Logging.AddFilter("Microsoft", LogLevel.Warning).AddFilter("Microsoft.Hosting.Lifetime", LogLevel.Warning);
        builder.Services.Configure<HostOptions>(options => options.ShutdownTimeout = _timeToEnd);
        builder.Services.AddSingleton(settings).AddSingleton(state).AddSingleton(store).AddSingleton(font).AddSingleton(time).AddSingleton(log);
        builder.Services.AddSingleton<BenchMeter>();
        builder.Services.AddSingleton(services => new BenchHall(settings, state, store, font, services.GetRequiredService<BenchMeter>(), time, log));
        foreach (var index in Enumerable.Range(0, settings.Benches.Length))
            builder.Services.AddSingleton<IHostedService>(services => services.GetRequiredService<BenchHall>().Workers[index]);
        builder.Services.AddHostedService<ServiceSupervision>();
        Listen(builder, settings, settings.Tls is { } tls ? ReadCertificate(tls) : null);
        Protect(builder.Services, settings);
        builder.Services.AddRazorComponents();
        builder.Services.AddOpenApi("testrig", options => options.AddDocumentTransformer((document, _, _) =>
        {
            document.Info.Title = "TestRig, the service of benches";
            document.Info.Version = Commands.ProgramVersion.Text;
            document.Servers = [];
            return Task.CompletedTask;
        }));
        builder.Services.ConfigureHttpJsonOptions(options =>
        {
            options.SerializerOptions.PropertyNamingPolicy = JsonNamingPolicy.CamelCase;
            options.SerializerOptions.DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull;
            options.SerializerOptions.UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow;
            options.SerializerOptions.Converters.Add(new JsonStringEnumConverter(JsonNamingPolicy.KebabCaseLower, allowIntegerValues: false));
        });
        builder.Services.AddOpenTelemetry().WithMetrics(metrics => metrics.AddMeter(BenchMeter.Name).AddMeter("Microsoft.AspNetCore.Hosting").AddPrometheusExporter());

        var app = builder.Build();
        // First, so that every answer has them: that of a mistake, too.
        app.Use(AddHeadersAsync);
        app.UseExceptionHandler(error => error.Run(UnexpectedAsync));
        app.UseStatusCodePages(StatusAsync);
        app.UseRateLimiter();
        app.UseAuthentication();
        app.UseAuthorization();
        app.Use(LastingAccess.EndWithTokenAsync);
        app.UseAntiforgery();

        app.MapPageAssets();
        app.MapOpenApi("/openapi/{documentName}.json");
        app.MapHealth();
        app.MapPrometheusScrapingEndpoint("/metrics").RequireAuthorization(AccessPolicy.Read);
        app.MapSignIn();
        var api = app.MapGroup("/api").RequireAuthorization(AccessPolicy.Read);
        api.MapBenches();
        api.MapJobs();
        // Apart from the others: who drives need not be able to read.
        app.MapGroup("/api").RequireAuthorization(AccessPolicy.DriveByToken).MapDriving();
        var pages = app.MapGroup("").RequireAuthorization(AccessPolicy.Read).ExcludeFromDescription();
        pages.MapBenchPages();
        return app;
    }

    /// <exception cref="Commands.BadUsageException">A file of it is not there, or not what it should be.</exception>
    private static (X509Certificate2 Own, X509Certificate2Collection Chain) ReadCertificate(TlsSettings tls)
    {
        try
        {
            var chain = new X509Certificate2Collection();
            chain.ImportFromPemFile(tls.Certificate);
            return (X509Certificate2.CreateFromPemFile(tls.Certificate, tls.Key), chain);
        }
        catch (Exception unusable) when (unusable is IOException or UnauthorizedAccessException or CryptographicException or ArgumentException)
        {
            throw new Commands.BadUsageException([$"The certificate {tls.Certificate} with the key {tls.Key} cannot be used: {unusable.Message.TrimEnd('.')}. Name files in PEM form that belong together, and that this user may read, with 'tls' in the service's configuration."]);
        }
    }

    private static void Listen(WebApplicationBuilder builder, ServiceSettings settings, (X509Certificate2 Own, X509Certificate2Collection Chain)? certificate) => builder.WebHost.UseKestrelCore().ConfigureKestrel(kestrel =>
    {
        kestrel.AddServerHeader = false;
        kestrel.Limits.MaxRequestBodySize = LargestBody;
        kestrel.Limits.MaxConcurrentConnections = 500;
        kestrel.Limits.RequestHeadersTimeout = _timeForHeaders;
        void Tls(Microsoft.AspNetCore.Server.Kestrel.Core.ListenOptions options)
        {
            if (certificate is var (own, chain))
                options.UseHttps(new HttpsConnectionAdapterOptions { ServerCertificate = own, ServerCertificateChain = chain });
        }
        if (settings.Listen.Host == "localhost")
            kestrel.ListenLocalhost(settings.Listen.Port, Tls);
        else if (IPAddress.TryParse(settings.Listen.DnsSafeHost, out var address))
            kestrel.Listen(address, settings.Listen.Port, Tls);
        else
            kestrel.ListenAnyIP(settings.Listen.Port, Tls);
    });

    private static void Protect(IServiceCollection services, ServiceSettings settings)
    {
        // Whoever is signed in stays so when the service starts again.
        services.AddDataProtection().SetApplicationName("testrig").PersistKeysToFileSystem(OwnFolder.Make(Path.Combine(settings.State, "keys")));
        services.AddAuthentication(EitherScheme)
            .AddPolicyScheme(EitherScheme, null, options => options.ForwardDefaultSelector = context =>
                context.Request.Headers.Authorization.Count > 0 || !IsForPeople(context.Request) && !context.Request.Headers.ContainsKey("Cookie") ? HeaderAuthentication.SchemeName : CookieAuthenticationDefaults.AuthenticationScheme)
            .AddScheme<AuthenticationSchemeOptions, HeaderAuthentication>(HeaderAuthentication.SchemeName, null)
            .AddCookie(options =>
            {
                options.Cookie.Name = "testrig";
                options.Cookie.HttpOnly = true;
                options.Cookie.SameSite = SameSiteMode.Strict;
                options.Cookie.SecurePolicy = settings.Tls is null ? CookieSecurePolicy.SameAsRequest : CookieSecurePolicy.Always;
                options.ExpireTimeSpan = TimeSpan.FromDays(30);
                options.LoginPath = SignIn.Path;
                options.ReturnUrlParameter = SignIn.ReturnParameter;
                // A token that was revoked, or has expired, is of no use from the next request on.
                options.Events.OnValidatePrincipal = SignIn.ValidateAsync;
                options.Events.OnRedirectToLogin = context => IsForPeople(context.Request)
                    ? Redirect(context)
                    : Problems.WriteAsync(context.HttpContext, StatusCodes.Status401Unauthorized, "A valid token is needed.", "Sign in again, or send a token as 'Authorization: Bearer TOKEN'.");
                options.Events.OnRedirectToAccessDenied = context => Problems.WriteAsync(
                    context.HttpContext, StatusCodes.Status403Forbidden, "The token that you signed in with does not have the right for it.", "Sign out, and sign in with one that has.");
            });
        services.AddAuthorizationBuilder()
            .AddPolicy(AccessPolicy.Read, policy => policy.RequireClaim(AccessPolicy.RightClaim, AccessPolicy.Read))
            .AddPolicy(AccessPolicy.Drive, policy => policy.RequireClaim(AccessPolicy.RightClaim, AccessPolicy.Drive))
            .AddPolicy(AccessPolicy.DriveByToken, policy => policy.AddAuthenticationSchemes(HeaderAuthentication.SchemeName).RequireClaim(AccessPolicy.RightClaim, AccessPolicy.Drive));
        services.AddAntiforgery(options =>
        {
            options.Cookie.Name = "testrig-form";
            options.Cookie.SameSite = SameSiteMode.Strict;
            options.Cookie.SecurePolicy = settings.Tls is null ? CookieSecurePolicy.SameAsRequest : CookieSecurePolicy.Always;
        });
        // A page of somebody else whose name was made to lead here is not answered: the web server looks at names before anything else. By which names others reach a service that listens to them, nobody here knows.
        services.Configure<HostFilteringOptions>(options => options.AllowedHosts = settings.IsLoopback ? ["localhost", "127.0.0.1", "[::1]", settings.Listen.Host] : ["*"]);
        services.AddRateLimiter(options =>
        {
            options.GlobalLimiter = PartitionedRateLimiter.Create<HttpContext, string>(context => RateLimitPartition.GetTokenBucketLimiter(AddressOf(context), _ => new()
            {
                TokenLimit = RequestsAtOnce,
                TokensPerPeriod = RequestsASecond,
                ReplenishmentPeriod = TimeSpan.FromSeconds(1),
                QueueLimit = 0,
            }));
            options.AddPolicy(SignInLimit, context => RateLimitPartition.GetFixedWindowLimiter(AddressOf(context), _ => new() { PermitLimit = SignInsAMinute, Window = TimeSpan.FromMinutes(1), QueueLimit = 0 }));
            options.OnRejected = (rejected, _) =>
            {
                var after = rejected.Lease.TryGetMetadata(MetadataName.RetryAfter, out var wait) ? wait : TimeSpan.FromSeconds(1);
                var seconds = Math.Max(1, (int)Math.Ceiling(after.TotalSeconds)).ToString(CultureInfo.InvariantCulture);
                rejected.HttpContext.Response.Headers.RetryAfter = seconds;
                return new(Problems.WriteAsync(rejected.HttpContext, StatusCodes.Status429TooManyRequests, "Too many requests came from your address.", $"Wait {seconds} s."));
            };
        });
    }

    private static string AddressOf(HttpContext context) => context.Connection.RemoteIpAddress?.ToString() ?? "";

    private static bool IsForPeople(HttpRequest request) => !request.Path.StartsWithSegments("/api", StringComparison.Ordinal) && !request.Path.StartsWithSegments("/metrics", StringComparison.Ordinal);

    private static Task Redirect(RedirectContext<CookieAuthenticationOptions> context)
    {
        context.Response.Redirect(context.RedirectUri);
        return Task.CompletedTask;
    }

    /// <summary>Nothing of another origin is loaded, shown around these pages, or told where one comes from.</summary>
    private static Task AddHeadersAsync(HttpContext context, RequestDelegate next)
    {
        // Whatever answers in the end, and whoever began to and was interrupted.
        context.Response.OnStarting(AddHeaders, context.Response.Headers);
        return next(context);
    }

    private static Task AddHeaders(object answer)
    {
        var headers = (IHeaderDictionary)answer;
        headers.ContentSecurityPolicy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        if (headers.CacheControl.Count == 0)
            headers.CacheControl = "no-store";
        return Task.CompletedTask;
    }

    private static Task UnexpectedAsync(HttpContext context) => Problems.WriteAsync(
        context, StatusCodes.Status500InternalServerError, "The program made a mistake.", "Nothing was driven for this request. The service's log tells more.");

    private static Task StatusAsync(Microsoft.AspNetCore.Diagnostics.StatusCodeContext context)
    {
        var status = context.HttpContext.Response.StatusCode;
        return status switch
        {
            StatusCodes.Status404NotFound => Problems.WriteAsync(context.HttpContext, status, "There is nothing at this address.", "Begin at '/', or see '/openapi/testrig.json'."),
            StatusCodes.Status405MethodNotAllowed => Problems.WriteAsync(context.HttpContext, status, "This address does not take this method.", "See '/openapi/testrig.json'."),
            StatusCodes.Status413PayloadTooLarge => Problems.WriteAsync(context.HttpContext, status, "The request is too large.", $"Send at most {LargestBody} bytes."),
            StatusCodes.Status415UnsupportedMediaType => Problems.WriteAsync(context.HttpContext, status, "The request's content is of a kind that is not taken here.", "Send JSON, with 'Content-Type: application/json'."),
            StatusCodes.Status400BadRequest => Problems.WriteAsync(context.HttpContext, status, "The request cannot be read.", "See '/openapi/testrig.json' for what belongs into it."),
            _ => Task.CompletedTask,
        };
    }
}
