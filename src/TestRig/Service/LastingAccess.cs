using System.Security.Claims;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using TestRig.Bench.Files;
using TestRig.Bench.Serving;

namespace TestRig.Service;

/// <summary>Whoever watches a bench does so with one request that goes on for hours: it ends with the token that it was permitted by, when that expires or is revoked.</summary>
internal static class LastingAccess
{
    private static readonly TimeSpan _betweenLooks = TimeSpan.FromSeconds(1);

    public static async Task EndWithTokenAsync(HttpContext context, RequestDelegate next)
    {
        if (context.User.FindFirstValue(ClaimTypes.Name) is not { } token)
        {
            await next(context);
            return;
        }
        using var ended = CancellationTokenSource.CreateLinkedTokenSource(context.RequestAborted);
        context.RequestAborted = ended.Token;
        var answering = next(context);
        while (!answering.IsCompleted)
        {
            var time = context.RequestServices.GetRequiredService<TimeProvider>();
            await Task.WhenAny(answering, Task.Delay(_betweenLooks, time, ended.Token));
            if (!answering.IsCompleted && !ended.IsCancellationRequested && !await IsValidAsync(context, token, time.GetUtcNow()))
                await ended.CancelAsync();
            if (ended.IsCancellationRequested)
                break;
        }
        await answering;
    }

    /// <summary>What cannot be looked up permits nothing.</summary>
    private static async Task<bool> IsValidAsync(HttpContext context, string token, DateTimeOffset now)
    {
        try
        {
            return await context.RequestServices.GetRequiredService<ServiceState>().FindNamedAsync(token, now, CancellationToken.None) is not null;
        }
        catch (RunStorageException)
        {
            return false;
        }
    }
}
