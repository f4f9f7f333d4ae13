using System.Security.Claims;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Authentication.Cookies;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using TestRig.Bench.Serving;
using TestRig.Pages;

namespace TestRig.Service;

/// <summary>A browser presents a token once, and gets a cookie that no script can read and no other site can have sent.</summary>
internal static class SignIn
{
    public const string Path = "/sign-in";

    /// <summary>Of the page to return to.</summary>
    public const string ReturnParameter = "to";

    public static void MapSignIn(this IEndpointRouteBuilder routes)
    {
        var open = routes.MapGroup("").ExcludeFromDescription();
        open.MapGet(Path, (string? to) => new RazorComponentResult<SignInPage>(new { To = Local(to) }));
        open.MapPost(Path, EnterAsync).RequireRateLimiting(ServiceHost.SignInLimit);
        // The form has nothing in it but the proof that it is ours.
        open.MapPost("/sign-out", async (IFormCollection _, HttpContext context) =>
        {
            await context.SignOutAsync(CookieAuthenticationDefaults.AuthenticationScheme);
            return Results.LocalRedirect(Path);
        });
    }

    /// <summary>With every request: the token may have been revoked since.</summary>
    public static async Task ValidateAsync(CookieValidatePrincipalContext context)
    {
        var services = context.HttpContext.RequestServices;
        var now = services.GetRequiredService<TimeProvider>().GetUtcNow();
        var token = context.Principal?.FindFirstValue(ClaimTypes.Name) is { } name ? await services.GetRequiredService<ServiceState>().FindNamedAsync(name, now, context.HttpContext.RequestAborted) : null;
        if (token is null)
            context.RejectPrincipal();
        else
            context.ReplacePrincipal(HeaderAuthentication.PrincipalOf(token, CookieAuthenticationDefaults.AuthenticationScheme));
    }

    private static async Task<IResult> EnterAsync([FromForm] string? token, [FromForm] string? to, HttpContext context, ServiceState state, TimeProvider time, Serilog.ILogger log)
    {
        if (token is null || await state.FindAsync(token.Trim(), time.GetUtcNow(), context.RequestAborted) is not { } known)
        {
            log.Warning("Somebody at {Address} tried to sign in with a token that is not valid", context.Connection.RemoteIpAddress);
            return new RazorComponentResult<SignInPage>(new { To = Local(to), Refused = true }) { StatusCode = StatusCodes.Status401Unauthorized };
        }
        await context.SignInAsync(
            CookieAuthenticationDefaults.AuthenticationScheme, HeaderAuthentication.PrincipalOf(known, CookieAuthenticationDefaults.AuthenticationScheme), new() { IsPersistent = true, ExpiresUtc = known.Expires });
        return Results.LocalRedirect(Local(to));
    }

    /// <summary>Only a page of this service: no address that somebody put into a link leads elsewhere. A header can hold nothing but ASCII.</summary>
    private static string Local(string? to) => to is ['/', ..] && !to.StartsWith("//", StringComparison.Ordinal) && !to.StartsWith("/\\", StringComparison.Ordinal) && to.All(letter => char.IsAscii(letter) && !char.IsControl(letter)) ? to : "/";
}
