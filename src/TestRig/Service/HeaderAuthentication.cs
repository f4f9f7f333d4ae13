using System.Security.Claims;
using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;
using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>Who asks, by a token in the request's Authorization header (RFC 6750).</summary>
internal sealed class HeaderAuthentication(
    IOptionsMonitor<AuthenticationSchemeOptions> options, ILoggerFactory logger, UrlEncoder encoder, ServiceState state, TimeProvider time, Serilog.ILogger log) : AuthenticationHandler<AuthenticationSchemeOptions>(options, logger, encoder)
{
    public const string SchemeName = "Bearer";

    private const string Prefix = SchemeName + " ";

    /// <summary>What a token permits, as the rest of the service asks for it.</summary>
    public static ClaimsPrincipal PrincipalOf(AccessToken token, string scheme) => new(new ClaimsIdentity(
        [
            new(ClaimTypes.Name, token.Name),
            .. new[] { (AccessRights.Read, AccessPolicy.Read), (AccessRights.Drive, AccessPolicy.Drive) }.Where(right => token.Rights.HasFlag(right.Item1)).Select(right => new Claim(AccessPolicy.RightClaim, right.Item2)),
        ],
        scheme));

    protected override async Task<AuthenticateResult> HandleAuthenticateAsync()
    {
        string? header = Request.Headers.Authorization;
        if (header is null || !header.StartsWith(Prefix, StringComparison.OrdinalIgnoreCase))
            return AuthenticateResult.NoResult();
        if (await state.FindAsync(header[Prefix.Length..].Trim(), time.GetUtcNow(), Context.RequestAborted) is { } token)
            return AuthenticateResult.Success(new(PrincipalOf(token, SchemeName), SchemeName));
        // As it is in an address: no line of the log can be forged with it.
        log.Warning("A token that is not valid came from {Address}, for {Path}", Context.Connection.RemoteIpAddress, Request.Path.ToUriComponent());
        return AuthenticateResult.Fail("The token is not known, has expired, or was revoked.");
    }

    protected override Task HandleChallengeAsync(AuthenticationProperties properties)
    {
        Response.Headers.WWWAuthenticate = $"{SchemeName} realm=\"testrig\"";
        return Problems.WriteAsync(Context, StatusCodes.Status401Unauthorized, "A valid token is needed.", "Send one as 'Authorization: Bearer TOKEN'. A new one is made at the bench's computer, with 'testrig token create'.");
    }

    protected override Task HandleForbiddenAsync(AuthenticationProperties properties) =>
        Problems.WriteAsync(Context, StatusCodes.Status403Forbidden, "This token does not have the right for it.", "Use one that has: 'testrig token list' at the bench's computer tells which.");
}
